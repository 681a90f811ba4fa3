import type { Worker } from 'node:worker_threads';
import { afterEach, describe, expect, test } from 'vitest';
import { createForecaster, type Forecaster } from '../../../collector/forecast/forecaster.ts';
import { startThread } from '../../../collector/forecast/start-thread.ts';
import type { CohortForecast } from '../../../shared/forecasts.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { at, batchOf, engineWith, farm, readings } from './farm.ts';

const patience = 30_000;

const open: Forecaster[] = [];
afterEach(async () => {
  for (const one of open.splice(0)) await one.close();
});

/** A forecaster, and what it says as promises. */
function forecaster(inThread: boolean) {
  const clock = createManualClock(at(6));
  const workers: Worker[] = [];
  const states: string[] = [];
  let posts = 0;
  let heard: (list: CohortForecast[]) => void = () => {};
  const next = () => new Promise<CohortForecast[]>((resolve) => (heard = resolve));
  let lost: () => void = () => {};
  const loss = new Promise<void>((resolve) => (lost = resolve));
  const { t, value } = readings(-3, 6, () => 24);
  const one = createForecaster({
    clock,
    inThread,
    onForecasts: (list) => {
      posts++;
      heard(list);
    },
    onState: (state) => {
      states.push(state);
      if (state === 'failed') lost();
    },
    reload: () => one.loadHistory('on-a1.temperature', t, value),
    thread: () => {
      const worker = startThread();
      workers.push(worker);
      return worker;
    },
  });
  open.push(one);
  one.setFarm(farm);
  one.setBatches([batchOf()], true);
  one.loadHistory('on-a1.temperature', t, value);
  return { one, clock, next, loss, states, workers, posts: () => posts };
}

const expected = () => engineWith([batchOf()], () => 24, 6).advance(at(6)).forecasts;

describe.each([true, false])('a forecaster (in a thread: %s)', { timeout: patience }, (inThread) => {
  test('tells what the engine says', async () => {
    const { one, clock, next, states } = forecaster(inThread);
    const said = next();
    one.advance(clock.now());
    expect(await said).toEqual(expected());
    expect(states.at(-1)).toBe('ok');
  });

  test('answers for a curve, and says which bags it does not know', async () => {
    const { one, clock, next } = forecaster(inThread);
    const said = next();
    one.advance(clock.now());
    await said;
    expect((await one.curve('b1/1')).points.length).toBeGreaterThan(50);
    await expect(one.curve('b9/1')).rejects.toMatchObject({ code: 'not-found' });
  });

  test('many changes within a second make one forecast', async () => {
    const { one, clock, next, posts } = forecaster(inThread);
    const said = next();
    for (let round = 0; round < 50; round++) one.setBatches([batchOf()]);
    clock.advanceBy(1000);
    await said;
    expect(posts()).toBe(1);
  });

  test('takes only good temperatures', async () => {
    const { one, clock, next } = forecaster(inThread);
    one.air([
      { channel: 'on-a1.temperature', t: at(5.9), value: 80, quality: 'suspect' },
      { channel: 'on-a1.humidity', t: at(5.9), value: 80, quality: 'good' },
    ]);
    const said = next();
    one.advance(clock.now());
    expect(await said).toEqual(expected());
  });

  test('takes what came with clock skew as it takes a good one', async () => {
    const saidOf = async (quality: 'good' | 'clock-skew') => {
      const { one, clock, next } = forecaster(inThread);
      one.air([{ channel: 'on-a1.temperature', t: at(5.9), value: 60, quality }]);
      const said = next();
      one.advance(clock.now());
      return said;
    };
    const skewed = await saidOf('clock-skew');
    expect(skewed).not.toEqual(expected());
    expect(skewed).toEqual(await saidOf('good'));
  });
});

test('a lost thread is told, replaced and brought up to the same forecasts', {
  timeout: patience,
}, async () => {
  const { one, clock, next, loss, states, workers } = forecaster(true);
  const first = next();
  one.advance(clock.now());
  await first;

  await workers[0]!.terminate();
  await loss;
  await expect(one.curve('b1/1')).rejects.toMatchObject({ code: 'unavailable' });

  const again = next();
  clock.advanceBy(1000);
  const list = await again;
  expect(workers).toHaveLength(2);
  expect(list.map(({ share, ready }) => ({ share, at: ready.at?.latest }))).toEqual(
    expected().map(({ share, ready }) => ({ share, at: ready.at?.latest })),
  );
  expect(states).toContain('failed');
});
