import { describe, expect, it } from 'vitest';
import { createResponse, heatLossPerS } from '../../../../simulator/bag/response.ts';

const shape = { minC: 4, maxC: 36, fallPerK: 0.25 };

describe('temperature response of the simulated strains', () => {
  it('follows the square-root form of Ratkowsky et al. 1983 between its table points', () => {
    const response = createResponse(shape);
    const raw = (tempC: number) => ((tempC - 4) * (1 - Math.exp(0.25 * (tempC - 36)))) ** 2;
    const ratio = response(20.02) / response(28.37);
    expect(ratio).toBeCloseTo(raw(20.02) / raw(28.37), 4);
    // Far below the optimum the square root of the rate is a straight line.
    expect(Math.sqrt(response(14) / response(9))).toBeCloseTo(2, 1);
  });

  it('is 1 at its best, single-peaked, and 0 outside the growth range and the table', () => {
    const response = createResponse(shape);
    const temps = Array.from({ length: 641 }, (_, i) => 4 + i * 0.05);
    const values = temps.map(response);
    const best = values.indexOf(Math.max(...values));
    expect(values[best]).toBeCloseTo(1, 6);
    for (let i = 1; i <= best; i += 1) expect(values[i]!).toBeGreaterThanOrEqual(values[i - 1]!);
    for (let i = best + 1; i < values.length; i += 1) expect(values[i]!).toBeLessThanOrEqual(values[i - 1]!);
    for (const tempC of [-60, -10, 3.9, 36.1, 64.9, 65, 300, Number.NaN]) expect(response(tempC)).toBe(0);
  });

  it('loses vigour in the heat, faster the hotter, and none in comfort', () => {
    expect(heatLossPerS(25, 36, 0.01)).toBe(0);
    expect(heatLossPerS(36, 36, 0.01)).toBeCloseTo(0.01 / 3_600, 12);
    expect(heatLossPerS(42, 36, 0.01)).toBeGreaterThan(4 * heatLossPerS(36, 36, 0.01));
    expect(Number.isFinite(heatLossPerS(200, 36, 0.01))).toBe(true);
  });
});
