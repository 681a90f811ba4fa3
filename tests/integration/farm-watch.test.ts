import { mkdtempSync, readFileSync, renameSync, rmSync, unlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { watchFarmFile } from '../../collector/farm/watch.ts';
import { AppError } from '../../shared/errors.ts';
import { createManualClock, type ManualClock } from '../../shared/manual-clock.ts';
import { oyster } from '../unit/collector/farm/oyster.ts';

const small = readFileSync(new URL('../fixtures/farms/small.yaml', import.meta.url), 'utf8');
const hotter = small.replace('high: 28', 'high: 29');

let folder: string;
let path: string;
let clock: ManualClock;
let highs: (number | undefined)[];
let notices: (string | undefined)[];
let refuse: string | undefined;
let stop: () => void;

/** Turns the clock a little and lets the system's file events in, until something has come. */
async function until(come: () => boolean): Promise<void> {
  while (!come()) {
    clock.advanceBy(50);
    await setImmediate();
  }
}

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'farm-watch-'));
  path = join(folder, 'farm.yaml');
  writeFileSync(path, small);
  clock = createManualClock(1_770_000_000_000);
  highs = [];
  notices = [];
  refuse = undefined;
  const watching = watchFarmFile({
    path,
    text: small,
    clock,
    builtInSpecies: [oyster],
    onFarm: (farm) => {
      if (refuse !== undefined) throw new AppError('refused', refuse);
      highs.push(farm.rooms.get('warm-room')?.limits.temperature?.high);
    },
    onNotice: (text) => notices.push(text),
  });
  stop = watching.stop;
});

afterEach(() => {
  stop();
  rmSync(folder, { recursive: true });
});

describe('an edit of the farm file', () => {
  it('is taken over when it was written in place', async () => {
    writeFileSync(path, hotter);
    await until(() => highs.length === 1);
    expect(highs).toEqual([29]);
    expect(notices).toEqual([undefined]);
  });

  it('is taken over when an editor renamed a new file over it, again and again', async () => {
    for (const high of [29, 30, 31]) {
      writeFileSync(join(folder, '.farm.yaml.swp'), small.replace('high: 28', `high: ${high}`));
      renameSync(join(folder, '.farm.yaml.swp'), path);
      await until(() => highs.at(-1) === high);
    }
    expect(highs).toEqual([29, 30, 31]);
  });

  it('is refused when bad, says where, and keeps the last good one until it is mended', async () => {
    writeFileSync(path, small.replace('decoder: plain', 'decoder: plan'));
    await until(() => notices.length === 1);
    expect(notices[0]).toContain('farm.yaml:40:14');
    expect(notices[0]).toContain('write plain');
    expect(highs).toEqual([]);

    writeFileSync(path, hotter);
    await until(() => notices.length === 2);
    expect(notices[1]).toBeUndefined();
    expect(highs).toEqual([29]);
  });

  it('that is taken back clears the notice without a reload', async () => {
    writeFileSync(path, '');
    await until(() => notices.length === 1);
    expect(notices[0]).toContain('an empty file');
    writeFileSync(path, small);
    await until(() => notices.length === 2);
    expect(notices[1]).toBeUndefined();
    expect(highs).toEqual([]);
  });

  it('that the site itself refuses is told in the same way', async () => {
    refuse = 'Shelf A2 still has bags on it; move them first.';
    writeFileSync(path, hotter);
    await until(() => notices.length === 1);
    expect(notices[0]).toContain('Shelf A2 still has bags');
  });

  it('that deletes the file is told once, and putting it back clears it', async () => {
    unlinkSync(path);
    await until(() => notices.length === 1);
    expect(notices[0]).toContain('put it back');
    for (let turn = 0; turn < 300; turn++) {
      clock.advanceBy(1_000);
      await setImmediate();
    }
    expect(notices).toHaveLength(1);
    writeFileSync(path, small);
    await until(() => notices.length === 2);
    expect(notices[1]).toBeUndefined();
  });

  it('in several steps is read once they have settled', async () => {
    for (let step = 1; step <= 20; step++) {
      writeFileSync(path, hotter.slice(0, (hotter.length * step) / 20));
      clock.advanceBy(50);
      await setImmediate();
    }
    await until(() => highs.length === 1);
    expect(highs).toEqual([29]);
  });

  it('is not followed any more once stopped', () => {
    stop();
    expect(clock.pending).toBe(0);
  });
});
