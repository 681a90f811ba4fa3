import { expect, it } from 'vitest';
import { writingOf } from '../../../../../dashboard/web/format/value.ts';
import { fitProblem, parametersOf } from '../../../../../dashboard/web/strain/fit-words.ts';
import { fitAll } from '../../../../../shared/growth/fit-all.ts';

const fit = {
  parameters: [
    { name: 'tMinC', value: 5, standardError: 0.5 },
    { name: 'tMaxC', value: 36, standardError: null },
    { name: 'exponent', value: 2.4, standardError: 0.1 },
    { name: 'rateAtOptimum', value: 3.35, standardError: null },
  ],
};

it('says temperatures of a fit in the screen’s unit, their errors as steps of it, and the rest as it is', () => {
  expect(parametersOf(fit, writingOf('temperature', 'C'))).toBe(
    'lowest 5.00 ± 0.50\u00a0°C, highest 36.00\u00a0°C, exponent 2.40 ± 0.10, best rate 3.35',
  );
  // 5 °C is 41 °F and a step of 0.5 K one of 0.9 °F (NIST SP 811, appendix B.8).
  expect(parametersOf(fit, writingOf('temperature', 'F'))).toBe(
    'lowest 41.00 ± 0.90\u00a0°F, highest 96.80\u00a0°F, exponent 2.40 ± 0.10, best rate 3.35',
  );
});

it('leaves no °C on a screen in °F, whatever form was fitted', () => {
  // Pleurotus eryngii, mean of 28 strains on agar (Soylu, Boztok & Esiyok 2016, Acta Hort. 1123).
  const rows = [
    { tempC: 15, rate: 0.9 },
    { tempC: 20, rate: 2.84 },
    { tempC: 25, rate: 3.35 },
    { tempC: 30, rate: 2.39 },
  ];
  const said = fitAll(rows).flatMap(({ fit: one }) =>
    one === undefined ? [] : [parametersOf(one, writingOf('temperature', 'F'))],
  );
  expect(said.length).toBeGreaterThanOrEqual(4);
  for (const words of said) expect(words).toMatch(/^(?!.*°C).*°F/);
});

it('says why nothing was fitted in the screen’s unit', () => {
  const rising = [15, 20, 25, 30].map((tempC) => ({ tempC, rate: tempC - 12 }));
  const [refused] = fitAll(rising).flatMap((outcome) => outcome.refused ?? []);
  expect(fitProblem(refused!, 'C')).toMatch(/add rates from 30\u00a0°C up/);
  expect(fitProblem(refused!, 'F')).toMatch(/add rates from 86\u00a0°F up/);
  const [tooHot] = fitAll([{ tempC: 200, rate: 1 }]).flatMap((outcome) => outcome.refused ?? []);
  expect(fitProblem(tooHot!, 'F')).toMatch(/temperature 392\u00a0°F must lie in −40\u00a0°F to 302\u00a0°F/);
});
