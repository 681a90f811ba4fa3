import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { loadFarmFile } from '../../../../collector/farm/load.ts';
import { problemsText } from '../../../../collector/farm/problems.ts';
import { speciesText, strainText } from '../../../../collector/rates/entry.ts';
import { svgPlot } from '../../../../collector/rates/svg-plot.ts';
import { textPlot } from '../../../../collector/rates/text-plot.ts';
import { fitAll } from '../../../../shared/growth/fit-all.ts';
import { createResponse } from '../../../../shared/growth/response.ts';
import { builtInSpecies } from '../../../../shared/growth/species.ts';

const rows = [
  [5, 0.1],
  [10, 1],
  [16, 2.1],
  [22, 3.2],
  [26, 3.7],
  [28, 3.6],
  [33, 1.2],
  [36, 0],
].map(([tempC, rate]) => ({ tempC: tempC!, rate: rate! }));
const fits = fitAll(rows).flatMap(({ form, fit }) => (fit === undefined ? [] : [{ form, fit }]));
const oyster = builtInSpecies.find(({ id }) => id === 'oyster')!;
const farm = (groups: string): string =>
  `site: { id: f, name: F, timeZone: UTC }\nrooms:\n  - { id: r, name: R }\n${groups}`;

describe('entries for the farm file', () => {
  it.each(fits)('$form: strain and species are taken by the farm file as they are', ({ fit }) => {
    const strain = strainText({ id: 'blue-one', species: oyster, fit, onGrain: true });
    const species = speciesText({ species: oyster, fit, onGrain: false, source: 'own trial: rates.csv' });
    const load = loadFarmFile(farm(species + strain), 'farm.yaml', builtInSpecies);
    if (!load.ok) throw new Error(problemsText(load.problems));
    const made = load.farm.strains.get('blue-one')!;
    expect(made.response!.form).toBe(fit.spec.form);
    expect(made.rateFactor).toBeCloseTo(fit.rateAtOptimum / oyster.rateMmPerDay, 2);
    expect(load.farm.species.get('oyster')!.support.tMinC).toBe('own trial: rates.csv');
    expect(load.farm.species.get('oyster')!.rateMmPerDay).toBe(oyster.rateMmPerDay);
  });

  it('a strain not tried on grain keeps the rate of its species', () => {
    const text = strainText({ id: 'blue-one', species: oyster, fit: fits[0]!.fit, onGrain: false });
    expect(parse(text).strains[0]).not.toHaveProperty('rateFactor');
  });
});

describe('plots', () => {
  const { fit } = fits[0]!;
  const curve = (tempC: number) => fit.rateAtOptimum * createResponse(fit.spec)(tempC);

  it('text: every rate is there, within its width', () => {
    const plot = textPlot(rows, curve);
    expect(plot.match(/o/g)).toHaveLength(rows.length);
    for (const line of plot.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('SVG: a point for each rate, a line for each curve, names kept harmless', () => {
    const svg = svgPlot(
      'Growth of <b> & co',
      [...rows, { tempC: 20, rate: 3, sd: 0.2 }],
      [{ label: 'a "curve"', rateAt: curve }],
    );
    expect(svg.match(/<circle /g)).toHaveLength(rows.length + 1);
    expect(svg).toContain('a &quot;curve&quot;');
    expect(svg).toContain('&lt;b&gt; &amp; co');
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });
});
