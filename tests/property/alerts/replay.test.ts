import fc from 'fast-check';
import { expect, it, vi } from 'vitest';
import { definitionsOf } from '../../../alerts/definitions/definitions.ts';
import { episodesOf } from '../../../alerts/tuning/episodes.ts';
import { feed } from '../../../alerts/tuning/feed.ts';
import { createReplay } from '../../../alerts/tuning/replay.ts';
import type { AlarmJournalEntry } from '../../../shared/alarms.ts';
import type { RecordedReading } from '../../../shared/ports.ts';
import { hourMs } from '../../../shared/time.ts';
import { alarmSite, readingOf, smallFarm, startAt } from '../../tools/alarm-site.ts';
import { recordedOf } from '../../tools/recorded.ts';

vi.setConfig({ testTimeout: 120_000 });
const seed = 20260504;

const channels = ['warm-air.temperature', 'warm-air.humidity', 'a1.temperature', 'a2.temperature'];
const farm = smallFarm({
  rooms: [
    {
      id: 'warm-room',
      name: 'Warm room',
      limits: {
        temperature: {
          ...{ low: 20, high: 28, highHigh: 32, deadband: 0.5, offDelayS: 120 },
          during: [{ from: '09:00', to: '11:00', high: 30 }],
        },
        humidity: { high: 85, onDelayS: 0, offDelayS: 0, deadband: 0.1 },
      },
      racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2', limits: { temperature: { high: 26 } } }] }],
    },
    { id: 'cold-room', name: 'Cold room' },
  ],
});
const definitions = definitionsOf(farm).signals.filter(({ id }) => /^(low|high)/.test(id));

/** Stretches at a level with some noise; in some the sensor is away or sends all at once at their end. */
const stretch = fc.record({
  channel: fc.constantFrom(...channels),
  level: fc.double({ min: 17, max: 33, noNaN: true }),
  minutes: fc.integer({ min: 1, max: 180 }),
  way: fc.constantFrom('prompt', 'prompt', 'prompt', 'away', 'late', 'suspect'),
  noise: fc.array(fc.double({ min: -0.8, max: 0.8, noNaN: true }), { minLength: 7, maxLength: 7 }),
});

type Stretch = typeof stretch extends fc.Arbitrary<infer T> ? T : never;

function recordingOf(stretches: readonly Stretch[]): Record<string, RecordedReading[]> {
  const all: Record<string, RecordedReading[]> = Object.fromEntries(channels.map((id) => [id, []]));
  const ends: Record<string, number> = {};
  for (const { channel, level, minutes, way, noise } of stretches) {
    const from = ends[channel] ?? startAt + 30_000 + 1_000 * channels.indexOf(channel);
    const to = from + minutes * 60_000;
    ends[channel] = to;
    if (way === 'away') continue;
    for (let t = from; t < to; t += 30_000)
      all[channel]!.push({
        t,
        value: (channel.endsWith('humidity') ? level + 57 : level) + noise[((t - from) / 30_000) % 7]!,
        quality: way === 'suspect' ? 'suspect' : 'good',
        receivedAt: way === 'late' ? to - 1 : t,
      });
  }
  return all;
}

/** What the live alarms journalled of it, in the order of the lines. */
function liveLines(recording: Record<string, RecordedReading[]>): AlarmJournalEntry[] {
  const site = alarmSite(farm);
  const arrivals = Object.entries(recording)
    .flatMap(([channel, readings]) => readings.map((reading) => ({ channel, ...reading })))
    .sort((a, b) => a.receivedAt - b.receivedAt || a.t - b.t);
  for (const { channel, t, value, quality, receivedAt } of arrivals) {
    if (receivedAt > site.clock.now()) site.clock.advanceTo(receivedAt);
    site.book.tick(receivedAt);
    site.read(readingOf(channel, value, t, { quality, receivedAt }));
  }
  site.book.tick(site.clock.now() + hourMs);
  const ids = new Set(definitions.map(({ id }) => id));
  return site.book
    .journal({ limit: 100_000 })
    .reverse()
    .filter(({ alarm }) => ids.has(alarm));
}

const replayed = async (recording: Record<string, RecordedReading[]>, everything: boolean) => {
  const replay = createReplay(farm, definitions, startAt);
  const to = startAt + 20 * 24 * hourMs;
  const given = await feed({
    replay: everything ? { ...replay, couldMatter: () => true } : replay,
    recorded: recordedOf(recording),
    ...{ channels, from: startAt, to, pause: async () => {} },
  });
  return { lines: replay.finish(to), given };
};
const essence = ({ alarm, event, from, to, t }: AlarmJournalEntry) => ({ alarm, event, from, to, t });

it('a replay of all that was recorded writes the journal of the live alarms, line for line', async () => {
  let lines = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(stretch, { minLength: 5, maxLength: 25 }), async (stretches) => {
      const recording = recordingOf(stretches);
      const live = liveLines(recording);
      const { lines: again } = await replayed(recording, true);
      expect(again.map(essence)).toEqual(live.map(essence));
      expect(again.map(({ title }) => title)).toEqual(live.map(({ title }) => title));
      lines += live.length;
    }),
    { seed, numRuns: 12, endOnFailure: true },
  );
  expect(lines).toBeGreaterThan(40);
});

it('what a replay leaves out changes no alarm', async () => {
  const left = { given: 0, all: 0 };
  await fc.assert(
    fc.asyncProperty(fc.array(stretch, { minLength: 10, maxLength: 60 }), async (stretches) => {
      const recording = recordingOf(stretches);
      const all = await replayed(recording, true);
      const some = await replayed(recording, false);
      expect(some.lines.map(essence)).toEqual(all.lines.map(essence));
      expect(episodesOf(some.lines, () => 3).map(({ peak }) => peak)).toEqual(
        episodesOf(all.lines, () => 3).map(({ peak }) => peak),
      );
      left.given += some.given;
      left.all += all.given;
    }),
    { seed, numRuns: 40 },
  );
  expect(left.given).toBeLessThan(0.9 * left.all);
});
