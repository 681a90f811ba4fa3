import { expect, it } from 'vitest';
import { stepThermostat, type ThermostatState } from '../../../../simulator/room/thermostat.ts';

const spec = { coolAboveC: 25, heatBelowC: 22, halfBandK: 0.5, leastOffS: 240, leastOnS: 180, lagS: 1 };
const from = (mode: ThermostatState['mode'], inModeS = 1_000): ThermostatState => ({
  mode,
  inModeS,
  sensedC: 23,
});

it.each([
  ['idle', 1_000, 25.4, 'idle'],
  ['idle', 1_000, 25.6, 'cooling'],
  ['idle', 60, 25.6, 'idle'],
  ['idle', 1_000, 21.6, 'idle'],
  ['idle', 1_000, 21.4, 'heating'],
  ['cooling', 1_000, 24.6, 'cooling'],
  ['cooling', 1_000, 24.4, 'idle'],
  ['cooling', 60, 24.4, 'cooling'],
  ['heating', 1_000, 22.4, 'heating'],
  ['heating', 10, 22.6, 'idle'],
] as const)('%s for %d s in air of %d °C is %s', (mode, inModeS, airC, next) => {
  const after = stepThermostat(from(mode, inModeS), spec, airC, 60);
  expect(after.mode).toBe(next);
  expect(after.inModeS).toBe(next === mode ? inModeS + 60 : 0);
});

it('senses with its lag', () => {
  const slow = { ...spec, lagS: 600 };
  const after = stepThermostat(from('idle'), slow, 33, 600);
  expect(after.sensedC).toBeCloseTo(33 - 10 / Math.E, 10);
});
