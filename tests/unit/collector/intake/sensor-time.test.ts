import { describe, expect, it } from 'vitest';
import { sensorTimeOf } from '../../../../collector/intake/decoders/sensor-time.ts';

const noon = Date.UTC(2026, 2, 1, 12);

describe('a time as a sensor writes it', () => {
  it.each([
    [noon],
    [noon / 1000],
    [String(noon)],
    ['1772366400'],
    ['1772366400.000'],
    ['2026-03-01T12:00:00Z'],
    ['2026-03-01T12:00Z'],
    ['2026-03-01 12:00:00+00:00'],
    ['2026-03-01T13:00:00.000+01:00'],
    ['2026-03-01T06:30:00-05:30'],
    ['20260301T120000Z'],
    ['2026-03-01T12:00:00,000Z'],
    ['2026-03-01T13:00:00+01'],
  ])('%j is noon', (written) => {
    expect(sensorTimeOf(written)).toBe(noon);
  });

  it('keeps milliseconds and drops what is finer', () => {
    expect(sensorTimeOf('2026-03-01T12:00:00.1239Z')).toBe(noon + 123);
    expect(sensorTimeOf('2026-03-01T12:00:00.5Z')).toBe(noon + 500);
    expect(sensorTimeOf(noon / 1000 + 0.25)).toBe(noon + 250);
  });

  it.each([
    ['2026-03-01T12:00:00'],
    ['2026-03-01'],
    ['2026-02-30T12:00:00Z'],
    ['2026-13-01T12:00:00Z'],
    ['2026-03-01T24:01:00Z'],
    ['2026-03-01T12:60:00Z'],
    ['2026-03-01T12:00:00+25:00'],
    ['01.03.2026 12:00'],
    ['yesterday'],
    [''],
    [-1],
    [Number.POSITIVE_INFINITY],
    [1e20],
    [null],
    [true],
    [undefined],
    [{}],
    [`2026-03-01T12:00:00Z${' '.repeat(50)}`],
  ])('%j is no instant', (written) => {
    expect(sensorTimeOf(written)).toBeUndefined();
  });
});
