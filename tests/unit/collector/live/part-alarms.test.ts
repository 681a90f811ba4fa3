import { expect, test } from 'vitest';
import { watchDisk } from '../../../../collector/live/disk-space.ts';
import { adviceFor } from '../../../../collector/live/part-advice.ts';
import { createPartAlarms } from '../../../../collector/live/part-alarms.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';

const minute = 60_000;

function open() {
  const clock = createManualClock(0);
  const told: string[] = [];
  const parts = createPartAlarms({
    clock,
    tell: (part, { abnormal, title }) => told.push(`${abnormal ? 'on' : 'off'} ${part} ${title}`),
  });
  return { clock, told, parts };
}

test('every part of the tool that can fail has words, advice and an urgency', () => {
  expect(Object.keys(adviceFor).sort()).toEqual([
    ...['backup', 'broker', 'delivery', 'disk', 'forecasts', 'influx', 'store'],
  ]);
});

test('a part that fails is told of at once, and its end too', () => {
  const { told, parts } = open();
  parts.report('store', 'failed', 'the disk is full');
  parts.report('store', 'ok', 'writing');
  expect(told).toEqual([
    'on store Readings cannot be stored: the disk is full',
    'off store Readings cannot be stored: writing',
  ]);
});

test('InfluxDB may be away for a quarter of an hour, and catch up for six', () => {
  const { clock, told, parts } = open();
  parts.report('influx', 'failed', '12 readings wait');
  clock.advanceBy(14 * minute);
  parts.report('influx', 'failed', '900 readings wait');
  expect(told).toEqual([]);
  clock.advanceBy(1 * minute);
  expect(told).toEqual(['on influx Readings do not reach InfluxDB: 900 readings wait']);
  // It takes some again, but a backlog is left: the alarm stays until that is gone.
  parts.report('influx', 'waiting', 'catching up');
  expect(told).toHaveLength(2);
  expect(told[1]).toMatch(/^on /);
  parts.report('influx', 'ok', 'has every reading');
  expect(told[2]).toMatch(/^off /);

  parts.report('influx', 'waiting', 'catching up: more than 100000 readings wait');
  clock.advanceBy(359 * minute);
  expect(told).toHaveLength(3);
  clock.advanceBy(1 * minute);
  expect(told[3]).toBe(
    'on influx Readings do not reach InfluxDB: catching up: more than 100000 readings wait',
  );
});

test('a short absence of InfluxDB is nobody’s business', () => {
  const { clock, told, parts } = open();
  parts.report('influx', 'failed', 'refused');
  clock.advanceBy(5 * minute);
  parts.report('influx', 'ok', 'has every reading');
  clock.advanceBy(60 * minute);
  expect(told).toEqual(['off influx Readings do not reach InfluxDB: has every reading']);
});

test('a disk is low below a gigabyte, or below a twentieth of a small one, and well again a fifth above', async () => {
  const clock = createManualClock(0);
  const told: string[] = [];
  const disk = { freeBytes: 5e9, totalBytes: 100e9 };
  const watch = watchDisk({
    folder: '.',
    clock,
    onHealth: (state, text) => told.push(`${state} ${text}`),
    space: async () => disk,
  });
  const free = async (freeBytes: number, totalBytes = 100e9) => {
    Object.assign(disk, { freeBytes, totalBytes });
    clock.advanceBy(minute);
    await Promise.resolve();
    return told.at(-1);
  };
  expect(await free(1.01e9)).toBe('ok 1.0 GB of 100 GB free');
  expect(await free(0.99e9)).toBe('failed 990 MB of 100 GB free');
  expect(await free(1.15e9)).toBe('failed 1.1 GB of 100 GB free');
  expect(await free(1.25e9)).toBe('ok 1.3 GB of 100 GB free');
  expect(await free(0.06e9, 1e9)).toBe('ok 60 MB of 1.0 GB free');
  expect(await free(0.04e9, 1e9)).toBe('failed 40 MB of 1.0 GB free');
  watch.stop();
});
