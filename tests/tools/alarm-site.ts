import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { onTestFinished } from 'vitest';
import { createAlarmBook } from '../../alerts/alarm-book.ts';
import { createAckLinks } from '../../alerts/delivery/ack-links.ts';
import { alertMigrations } from '../../alerts/migrations.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import { type FarmFileInput, farmFile } from '../../shared/farm/schema.ts';
import type { CohortForecast } from '../../shared/forecasts.ts';
import { createManualClock } from '../../shared/manual-clock.ts';
import type { Reading } from '../../shared/readings.ts';
import type { WatchedUnload } from '../../shared/unload/watched.ts';

/** Monday 4 May 2026, 06:00 UTC. */
export const startAt = Date.UTC(2026, 4, 4, 6);

/** A small farm: a warm room with a rack, a cold room, three sensors, two people of whom one is told. */
export const smallFarm = (change: Partial<FarmFileInput> = {}) =>
  buildFarm(
    farmFile.parse({
      site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'Europe/London' },
      rooms: [
        {
          id: 'warm-room',
          name: 'Warm room',
          limits: { temperature: { low: 20, high: 28, highHigh: 32 }, humidity: { high: 85 } },
          racks: [{ id: 'A', shelves: [{ id: 'A1' }, { id: 'A2', limits: { temperature: { high: 26 } } }] }],
        },
        { id: 'cold-room', name: 'Cold room', limits: { temperature: { high: 8 } } },
      ],
      sensors: [
        {
          id: 'warm-air',
          topic: 'warm/air',
          decoder: 'json',
          at: 'warm-room',
          everyS: 30,
          channels: [
            { quantity: 'temperature', unit: 'degC', pointer: '/t' },
            { quantity: 'humidity', unit: '%', pointer: '/h' },
          ],
        },
        {
          id: 'a1',
          topic: 'a1',
          decoder: 'plain',
          at: 'A1',
          everyS: 30,
          channels: [{ quantity: 'temperature', unit: 'degC' }],
        },
        {
          id: 'a2',
          topic: 'a2',
          decoder: 'plain',
          at: 'A2',
          everyS: 30,
          channels: [{ quantity: 'temperature', unit: 'degC' }],
        },
      ],
      people: [
        { id: 'rowan', name: 'Rowan', email: 'rowan@fernhollow.example' },
        { id: 'ash', name: 'Ash', email: 'ash@fernhollow.example' },
      ],
      notify: ['rowan'],
      mail: { host: '127.0.0.1', port: 25, from: 'alarms@fernhollow.example' },
      ...change,
    }),
    [],
  );

/** A database file of its own, with the alarm tables, gone after the test. */
export function alarmDatabase() {
  const folder = mkdtempSync(join(tmpdir(), 'alarms-'));
  const file = join(folder, 'site.sqlite');
  const database = openAlarmDatabase(file);
  for (const { sql } of alertMigrations) database.exec(sql);
  onTestFinished(() => {
    database.close();
    rmSync(folder, { recursive: true, force: true });
  });
  return { database, file };
}

export function openAlarmDatabase(file: string) {
  const database = new Database(file);
  database.pragma('journal_mode = WAL');
  return database;
}

/** A value that never moves would be a stuck sensor's. */
const calm = (second: number) => {
  const value = second % 60 === 0 ? 24 : 24.1;
  return {
    'warm-air.humidity': value + 36,
    'warm-air.temperature': value,
    'a1.temperature': value,
    'a2.temperature': value,
  };
};

/** A book on a real file with a clock turned by hand; `restart` opens it anew on the same file. */
export function alarmSite(
  farm = smallFarm(),
  databaseGiven = alarmDatabase().database,
  linkKey: Buffer | null = null,
) {
  const clock = createManualClock(startAt);
  const told = { changes: 0, queued: 0 };
  const forecasts: { bags: CohortForecast[] | null } = { bags: null };
  const unloads: WatchedUnload[] = [];
  const needs = {
    unloads: () => unloads,
    database: databaseGiven,
    clock,
    bags: () => forecasts.bags,
    links: linkKey && createAckLinks(databaseGiven, clock, linkKey),
    onChange: () => {
      told.changes += 1;
    },
    onQueued: () => {
      told.queued += 1;
    },
  };
  const site = {
    database: databaseGiven,
    farm,
    startedAt: startAt,
    clock,
    told,
    /** Bags as they are forecast; null while nobody knows. */
    forecasts,
    /** Hot loads that are underway. */
    unloads,
    book: createAlarmBook({ ...needs, farm }),
    restart(next = farm) {
      site.book = createAlarmBook({ ...needs, farm: next });
    },
    /** Stores nothing, but takes the way of the site: observe inside a transaction, then afterCommit. */
    read(...readings: Reading[]) {
      databaseGiven.transaction(() => site.book.observe(readings))();
      site.book.afterCommit();
    },
    /** A reading of now. */
    say: (channel: string, value: number, more: Partial<Reading> = {}) =>
      site.read(readingOf(channel, value, clock.now(), more)),
    /** The clock goes on by seconds, ticking each; `each` runs before a tick. */
    run(seconds: number, each: () => void = () => {}) {
      for (let second = 0; second < seconds; second += 1) {
        clock.advanceBy(1000);
        each();
        site.book.tick(clock.now());
      }
    },
    /** Every 30 s a reading of each sensor, calm where nothing else is given, for so long. */
    hold(values: Record<string, number>, seconds: number) {
      for (let second = 0; second < seconds; second += 30) {
        site.run(30);
        for (const [channel, value] of Object.entries({ ...calm(second), ...values }))
          site.say(channel, value);
      }
    },
    state: (alarm: string) => site.book.view(alarm).state,
    events: (alarm?: string) =>
      site.book
        .journal({ alarm, limit: 1000 })
        .reverse()
        .map(({ event }) => event),
    outbox: () =>
      databaseGiven
        .prepare<[], { alarm: string; recipient: string; message: string; state: string }>(
          'SELECT * FROM alarm_outbox ORDER BY id',
        )
        .all(),
  };
  return site;
}

export const readingOf = (
  channel: string,
  value: number,
  t: number,
  more: Partial<Reading> = {},
): Reading => ({
  channel,
  t,
  value,
  raw: value,
  quality: 'good',
  retained: false,
  receivedAt: t,
  ...more,
});
