import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it, onTestFinished } from 'vitest';
import { versionOf } from '../../alerts/tuning/bands.ts';
import { createTuningDesk } from '../../alerts/tuning/tuning-desk.ts';
import { createFarmEdits } from '../../collector/farm/farm-edits.ts';
import { loadFarmFile } from '../../collector/farm/load.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { alarmSite } from '../tools/alarm-site.ts';
import { recordedOf } from '../tools/recorded.ts';

const yaml = `
site: { id: fernhollow, name: Fernhollow, timeZone: Europe/Dublin }
rooms:
  - id: warm
    name: Warm room
    limits:
      temperature: # measured at the door
        high: 28 # the oysters mind 30
        deadband: 0.5
    racks: [{ id: A, shelves: [{ id: A1 }] }]
  - { id: cool, name: Cool room, limits: { temperature: { high: 8 } } }
sensors:
  - { id: cool-air, topic: lab/cool, decoder: plain, at: cool, channels: [{ quantity: temperature, unit: degC }] }
  - { id: warm-air, topic: lab/warm, decoder: plain, at: warm, channels: [{ quantity: temperature, unit: degC }] }
`;

/** Version of a band of which the file says nothing. */
const emptyBand = versionOf({});

const farmOf = (text: string): Farm => {
  const load = loadFarmFile(text, 'farm.yaml', []);
  if (!load.ok) throw new Error(JSON.stringify(load.problems));
  return load.farm;
};

/** A farm file on disk with its alarms, changed through the desk. */
function openDesk() {
  const folder = mkdtempSync(join(tmpdir(), 'limits-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const path = join(folder, 'farm.yaml');
  writeFileSync(path, yaml);
  let running = { farm: farmOf(yaml), text: yaml };
  const site = alarmSite(running.farm);
  const desk = createTuningDesk({
    book: site.book,
    farm: () => running.farm,
    edits: createFarmEdits({
      ...{ name: 'farm.yaml', path, builtInSpecies: [], text: () => running.text },
      apply(farm, text) {
        running = { farm, text };
        site.book.setFarm(farm);
      },
    }),
    recorded: recordedOf({}),
    pause: async () => {},
  });
  const band = () => desk.limits().find(({ at, measure }) => at === 'warm' && measure === 'temperature')!;
  const save = (set: object, version: string, who: string) =>
    desk.save({ at: 'warm', measure: 'temperature', set, version, who });
  return { path, desk, band, save, site, text: () => readFileSync(path, 'utf8') };
}

it('writes the limit, keeps the comments, and journals who changed what from what', async () => {
  const { band, save, site, text } = openDesk();
  const after = await save({ high: 27, onDelayS: 120 }, band().version, 'Ada');
  expect(text()).toBe(
    yaml.replace('high: 28 #', 'high: 27 #').replace('deadband: 0.5', 'deadband: 0.5\n        onDelayS: 120'),
  );
  expect(after.holds).toMatchObject({ high: 27, onDelayS: 120, deadband: 0.5 });
  const [line] = site.book.journal({ alarm: 'high/warm.temperature', limit: 1 });
  expect(line).toMatchObject({
    ...{ event: 'limits-changed', who: 'Ada', why: 'high 28 → 27, onDelayS default → 120' },
    ...{ from: 'normal', to: 'normal', limit: 27 },
  });
});

it('of two people who read the same limits the second is told, and nothing is overwritten', async () => {
  const { band, save, text } = openDesk();
  const { version } = band();
  const [first, second] = await Promise.allSettled([
    save({ high: 27 }, version, 'Ada'),
    save({ high: 26 }, version, 'Bo'),
  ]);
  expect(first.status).toBe('fulfilled');
  expect(second).toMatchObject({ status: 'rejected', reason: { code: 'conflict' } });
  expect(String((second as PromiseRejectedResult).reason.message)).toContain('Ada (high 28 → 27)');
  expect(text()).toContain('high: 27 #');
});

it('a change elsewhere in the file does not stand in the way', async () => {
  const { band, desk, save } = openDesk();
  const { version } = band();
  const cool = desk.limits().find(({ at }) => at === 'cool')!;
  await desk.save({ at: 'cool', measure: 'temperature', set: { high: 7 }, version: cool.version, who: 'Bo' });
  await expect(save({ high: 27 }, version, 'Ada')).resolves.toMatchObject({ holds: { high: 27 } });
});

it('refuses limits that contradict each other, says why, and leaves the file', async () => {
  const { band, save, text } = openDesk();
  await expect(save({ low: 29 }, band().version, 'Ada')).rejects.toThrow(/low/);
  expect(text()).toBe(yaml);
});

it('refuses while the file was changed by hand and is not running', async () => {
  const { band, save, path, text } = openDesk();
  writeFileSync(path, yaml.replace('28', '29'));
  await expect(save({ high: 27 }, band().version, 'Ada')).rejects.toThrow('changed by hand');
  expect(text()).toContain('high: 29');
});

it('taking a value out lets the default hold again', async () => {
  const { band, save } = openDesk();
  const after = await save({ deadband: null }, band().version, 'Ada');
  expect(after.written).toEqual({ high: 28 });
  expect(after.holds.deadband).not.toBe(0.5);
});

it('times of day are written, changed and taken out again, each with its words in the journal', async () => {
  const { band, save, site, text } = openDesk();
  const unloading = { days: ['tue' as const], from: '13:00', to: '17:00', high: 33 };
  const first = await save({ during: [unloading] }, band().version, 'Ada');
  expect(text()).toContain('high: 28 # the oysters mind 30');
  expect(first.written.during).toEqual([unloading]);
  expect(first.holds.during).toEqual([unloading]);
  const second = await save({ during: [{ ...unloading, high: 34 }] }, first.version, 'Bo');
  const last = await save({ during: null }, second.version, 'Bo');
  expect(last.holds.during).toEqual([]);
  expect(text()).toBe(yaml);
  const words = site.book.journal({ alarm: 'high/warm.temperature', limit: 3 }).map(({ why }) => why);
  expect(words.reverse()).toEqual([
    'during default → tue 13:00-17:00 high 33',
    'during tue 13:00-17:00 high 33 → tue 13:00-17:00 high 34',
    'during tue 13:00-17:00 high 34 → default',
  ]);
});

it('what is measured and has no limit yet may get its first', async () => {
  const { desk, site, text } = openDesk();
  const core = () => desk.limits().find(({ at, measure }) => at === 'warm' && measure === 'core')!;
  expect(core()).toMatchObject({ limited: false, written: {}, alarms: [] });
  const { version } = core();
  await desk.save({ at: 'warm', measure: 'core', set: { high: 33 }, version, who: 'Ada' });
  expect(core()).toMatchObject({ limited: true, written: { high: 33 } });
  expect(site.book.detail('high/warm.core').rule.limit).toBe(33);
  expect(text()).toContain('core: { high: 33 }');
});

it('when it rings again and how long it may be shelved hold at once', async () => {
  const { band, save, site, text } = openDesk();
  const after = await save({ reAlarmMin: 30, shelveCapMin: 60 }, band().version, 'Ada');
  expect(after.holds).toMatchObject({ reAlarmMin: 30, shelveCapMin: 60 });
  expect(site.book.detail('high/warm.temperature').rule).toMatchObject({ reAlarmMin: 30, shelveCapMin: 60 });
  const never = await save({ reAlarmMin: false, shelveCapMin: null }, after.version, 'Ada');
  expect(never.holds).toMatchObject({ reAlarmMin: false, shelveCapMin: 480 });
  expect(text()).toContain('reAlarmMin: false');
});

it('a time of day that contradicts the rest is refused, and the file is left', async () => {
  const { band, save, text } = openDesk();
  const odd = [{ from: '13:00', to: '17:00', high: 33, low: 34 }];
  await expect(save({ during: odd }, band().version, 'Ada')).rejects.toThrow(/low 34/);
  expect(text()).toBe(yaml);
});

it('saving what is already so writes nothing and journals nothing', async () => {
  const { band, save, site, text } = openDesk();
  await save({ high: 28 }, band().version, 'Ada');
  expect(text()).toBe(yaml);
  expect(site.book.journal({ limit: 10 })).toEqual([]);
});

it('refuses limits where nothing measures, before anything is written', async () => {
  const { desk, text } = openDesk();
  const edit = { at: 'A1', measure: 'temperature', set: { high: 26 } } as const;
  await expect(desk.save({ ...edit, version: emptyBand, who: 'Ada' })).rejects.toThrow('measures it');
  expect(text()).toBe(yaml);
});
