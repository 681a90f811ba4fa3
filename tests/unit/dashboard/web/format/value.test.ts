import { describe, expect, it } from 'vitest';
import {
  inScreenUnit,
  limitOf,
  limitWritten,
  numberOf,
  percentOf,
  trendWay,
  wholeWritten,
  writingOf,
  written,
} from '../../../../../dashboard/web/format/value.ts';

describe('values on screen', () => {
  it('writes a temperature in the screen’s unit', () => {
    expect(written(29.6, writingOf('temperature', 'C'))).toBe('29.6\u00a0°C');
    expect(written(29.6, writingOf('temperature', 'F'))).toBe('85.3\u00a0°F');
    expect(written(71.4, writingOf('humidity', 'F'))).toBe('71\u00a0%');
    expect(written(101_325, writingOf('pressure', 'C'))).toBe('1013.3\u00a0hPa');
  });

  it('scales a trend without the zero point', () => {
    expect(writingOf('temperature', 'F').shownStep(2)).toBeCloseTo(3.6, 12);
  });

  it('uses a true minus and never minus zero', () => {
    expect(numberOf(-3.25, 1)).toBe('−3.3');
    expect(numberOf(-0.04, 1)).toBe('0.0');
  });

  it('writes a limit without needless decimals', () => {
    expect(limitOf(28, writingOf('temperature', 'C'))).toBe('28');
    expect(limitOf(27.5, writingOf('temperature', 'C'))).toBe('27.5');
    expect(limitOf(28, writingOf('temperature', 'F'))).toBe('82.4');
  });

  it.each([
    ['temperature', 0.29, 'steady'],
    ['temperature', 2.1, 'rising'],
    ['temperature', -0.3, 'falling'],
    ['humidity', 1.2, 'steady'],
  ] as const)('%s at %f an hour is %s', (quantity, perHour, way) => {
    expect(trendWay(quantity, perHour)).toBe(way);
  });

  it('turns an alarm’s sentence to °F, its bare limit too', () => {
    const title = 'Warm room too warm: 29.6 °C, limit 28';
    expect(inScreenUnit(title, 'C')).toBe('Warm room too warm: 29.6\u00a0°C, limit\u00a028');
    expect(inScreenUnit(title, 'F')).toBe('Warm room too warm: 85.3\u00a0°F, limit\u00a082.4');
    expect(inScreenUnit('Falls by -2.0 °C/h, now 4 °C, limit 5 °C', 'F')).toBe(
      'Falls by −3.6\u00a0°F/h, now 39.2\u00a0°F, limit\u00a041\u00a0°F',
    );
    expect(inScreenUnit('Cool room too dry: 57 %, limit 60', 'F')).toBe(
      'Cool room too dry: 57\u00a0%, limit\u00a060',
    );
  });

  it('turns a difference to °F without the zero point, and nothing that only looks like one', () => {
    expect(inScreenUnit('The air rose 2.0 K within 5 min, to 30 °C', 'F')).toBe(
      'The air rose 3.6\u00a0°F within 5\u00a0min, to 86\u00a0°F',
    );
    expect(inScreenUnit('The room is 0.7 K warmer than planned.', 'F')).toContain('is 1.3\u00a0°F warmer');
    expect(inScreenUnit('Room too warm, limit 2 K', 'F')).toBe('Room too warm, limit\u00a03.6\u00a0°F');
    expect(inScreenUnit('in about 60 min (55-70; 25.0 °C now, 2.0 °C/h; by its trend)', 'F')).toBe(
      'in about 60\u00a0min (55-70; 77.0\u00a0°F now, 3.6\u00a0°F/h; by its trend)',
    );
    expect(inScreenUnit('no effect, 2.0 K warmer than it usually gets (20.0 °C)', 'F')).toBe(
      'no effect, 3.6\u00a0°F warmer than it usually gets (68.0\u00a0°F)',
    );
    for (const other of ['Loses 85 W/K', 'K710 on B1', 'bags of 40 K710', '3 Kb'])
      for (const unit of ['C', 'F'] as const) expect(inScreenUnit(other, unit)).toBe(other);
    expect(inScreenUnit('limit 60', 'F')).toBe('limit\u00a060');
  });

  // SI Brochure, 9th edition, 5.4.3 (from memory): number and unit belong together, with a space between them.
  it('never leaves a number at the end of a line and its unit on the next', () => {
    expect(inScreenUnit('Air 0.7 K warmer, -2.0 °C/h; CO2 1200 ppm', 'C')).toBe(
      'Air 0.7\u00a0K warmer, -2.0\u00a0°C/h; CO2 1200\u00a0ppm',
    );
    expect(
      inScreenUnit('Removes about 2.4 kW, reacts in 12 min; 2 minutes, 3 hives, 46 W per degree', 'C'),
    ).toBe('Removes about 2.4\u00a0kW, reacts in 12\u00a0min; 2 minutes, 3 hives, 46\u00a0W per degree');
    expect(percentOf(0.416)).toBe('42\u00a0%');
    expect(limitWritten(28, writingOf('temperature', 'C'))).toBe('28\u00a0°C');
    expect(wholeWritten(61.8, writingOf('temperature', 'F'))).toBe('143\u00a0°F');
  });
});
