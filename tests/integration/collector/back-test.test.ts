import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { SignalDefinition } from '../../../alerts/definitions/definition.ts';
import { definitionsOf } from '../../../alerts/definitions/definitions.ts';
import { createHoldLog } from '../../../alerts/hold-log.ts';
import { createAlarmJournal } from '../../../alerts/journal.ts';
import { episodesOf } from '../../../alerts/tuning/episodes.ts';
import { feed } from '../../../alerts/tuning/feed.ts';
import { createReplay } from '../../../alerts/tuning/replay.ts';
import { openDemo, slowSensors } from '../../../collector/demo.ts';
import { loadFarmFile } from '../../../collector/farm/load.ts';
import { migrations } from '../../../collector/main.ts';
import { pastOf } from '../../../collector/rooms/past.ts';
import { createStoreHistory } from '../../../collector/store/history.ts';
import { openDatabase } from '../../../collector/store/open-database.ts';
import type { Farm } from '../../../shared/farm/farm.ts';
import { builtInSpecies } from '../../../shared/growth/species.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { gridOf } from '../../../shared/room/history.ts';
import { dayMs } from '../../../shared/time.ts';

const now = Date.UTC(2026, 10, 24, 13, 32);
const from = now - 22 * dayMs;
const to = now + 1;

let folder: string;
let farm: Farm;
let database: ReturnType<typeof openDatabase>;

/** The demo's three weeks as its first start makes them, through the live alarms. */
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'shelfwarden-back-test-'));
  const clock = createManualClock(now);
  database = openDatabase({ file: join(folder, 'site.sqlite'), synchronous: 'NORMAL', migrations, clock });
  const demo = openDemo({ snapshotPath: join(folder, 'demo.json'), now, log: () => {} });
  const load = loadFarmFile(demo.farmYaml, 'fernhollow.yaml', builtInSpecies);
  if (!load.ok) throw new Error('the demo farm does not load');
  await demo.makeHistory(load.farm, database);
  // Its history is made with sensors that are expected less often, and so by these definitions.
  farm = slowSensors(load.farm);
}, 300_000);

afterAll(() => {
  database?.close();
  rmSync(folder, { recursive: true, force: true });
});

/** The alarms that a change of limits touches. */
const limitKinds = /^(high|high-high|low|low-low|rises-fast|falls-fast)\//;
const all = () => definitionsOf(farm).signals;
const limits = () => all().filter(({ id }) => limitKinds.test(id));

const liveEpisodes = (definitions: readonly SignalDefinition[]) => {
  const ids = new Set(definitions.map(({ id }) => id));
  const lines = createAlarmJournal(database).span(from, to);
  return episodesOf(
    lines.filter(({ alarm }) => ids.has(alarm)),
    () => 3,
  );
};
const replayedEpisodes = async (definitions: readonly SignalDefinition[], everything: boolean) => {
  const replay = createReplay(farm, definitions, from, createHoldLog(database, () => {}).spans());
  const given = await feed({
    replay: everything ? { ...replay, couldMatter: () => true } : replay,
    recorded: createStoreHistory(database),
    channels: [...farm.channels.keys()],
    ...{ from, to, pause: async () => {} },
  });
  return { episodes: episodesOf(replay.finish(to), () => 3), given };
};
const essence = (episodes: ReturnType<typeof episodesOf>) =>
  episodes
    .map(({ alarm, raisedAt, clearedAt, suppressed }) => ({ alarm, raisedAt, clearedAt, suppressed }))
    .sort((a, b) => a.raisedAt - b.raisedAt || (a.alarm < b.alarm ? -1 : 1));

test('replayed over its three weeks the demo gives exactly the alarms that the live run gave', async () => {
  const live = liveEpisodes(all());
  expect(live.length).toBeGreaterThanOrEqual(3);
  const { episodes } = await replayedEpisodes(all(), true);
  expect(essence(episodes)).toEqual(essence(live));
}, 120_000);

test('its limits give the same when the stretches that cannot matter are left out', async () => {
  const some = await replayedEpisodes(limits(), false);
  expect(essence(some.episodes)).toEqual(essence(liveEpisodes(limits())));
  const whole = createStoreHistory(database);
  let kept = 0;
  for (const channel of farm.channels.keys()) kept += whole.readings(channel, from, to).length;
  expect(some.given).toBeLessThan(kept / 3);
}, 120_000);

test('beside its air the signals of both coolers teach what the rooms are', () => {
  for (const room of ['warm', 'cool']) {
    const history = createStoreHistory(database);
    const past = pastOf({ farm, room, now, history, loads: [], fanFilm: 1, bagsW: () => null })!;
    expect(gridOf({ ...past, localHour: () => 12 }).coolerSignal, room).toBe('taught');
  }
});
