import { expect, test } from 'vitest';
import { createEngine } from '../../../collector/forecast/engine.ts';
import { stepMs } from '../../../collector/forecast/grid.ts';
import { type FarmFile, farmFile } from '../../../shared/farm/schema.ts';
import type { CohortForecast } from '../../../shared/forecasts.ts';
import { at, batchOf, farm, readings } from './farm.ts';

const days = 5;
const width = ({ ready }: CohortForecast): number => ready.at!.latest - ready.at!.earliest;

/** Forecast of a batch in the room that nobody measures, after readings of it that are no sensor's of its air. */
function inTheDark(file: FarmFile, channel?: string, tempC = 18, byHand = false): CohortForecast {
  const engine = createEngine();
  engine.setFarm(file);
  engine.setBatches([batchOf({ shelf: 'D1' })]);
  const { t, value } = readings(-1, days, () => tempC);
  if (channel !== undefined) engine.addReadings(channel, t, value, undefined, byHand);
  return engine.advance(at(days) + stepMs - 1).forecasts[0]!;
}

const withSensor = (quantity: 'temperature' | 'probe-temperature'): FarmFile =>
  farmFile.parse({
    ...farm,
    sensors: [
      ...farm.sensors,
      {
        id: 'dark',
        topic: 't/dark',
        decoder: 'plain',
        at: 'D1',
        channels: [{ quantity, unit: 'degC' }],
      },
    ],
  });

const guessed = inTheDark(farm);

test('a hand-written minimum and maximum stands for the air where no sensor told it, marked and less sure', () => {
  const file = withSensor('temperature');
  const byHand = inTheDark(file, 'dark.temperature', 18, true);
  const measured = inTheDark(file, 'dark.temperature', 18);
  expect(byHand.air).toBe('filled');
  expect(byHand.degreeDays).toBeCloseTo(measured.degreeDays, 0);
  expect(byHand.degreeDays).toBeLessThan(guessed.degreeDays - 10);
  expect(width(byHand)).toBeGreaterThan(width(measured));
});

test('what a sensor measured stands before what was written down', () => {
  const engine = createEngine();
  engine.setFarm(farm);
  engine.setBatches([batchOf()]);
  const { t, value } = readings(-1, days, () => 24);
  engine.addReadings('on-a1.temperature', t, value);
  const before = engine.advance(at(days) + stepMs - 1).forecasts;
  engine.addReadings(
    'on-a1.temperature',
    t,
    value.map(() => 10),
    undefined,
    true,
  );
  expect(engine.advance(at(days) + stepMs - 1).forecasts.map(({ coreTempC }) => coreTempC)).toEqual(
    before.map(({ coreTempC }) => coreTempC),
  );
});

test('a probe in a bag that nobody named tells a shelf without a sensor roughly how warm it is', () => {
  const file = withSensor('probe-temperature');
  const cold = inTheDark(file, 'dark.probe-temperature', 15);
  const warm = inTheDark(file, 'dark.probe-temperature', 25);
  expect(cold.air).toBe('filled');
  expect(cold.degreeDays).toBeLessThan(guessed.degreeDays);
  expect(warm.degreeDays).toBeGreaterThan(guessed.degreeDays);
  expect(warm.ready.at!.likely).toBeLessThan(cold.ready.at!.likely);
});
