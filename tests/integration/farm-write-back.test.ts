import {
  chmodSync,
  lstatSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, expect, it, onTestFinished } from 'vitest';
import { type LimitEdit, writeLimits } from '../../collector/farm/write-back.ts';
import { oyster } from '../unit/collector/farm/oyster.ts';

const small = readFileSync(new URL('../fixtures/farms/small.yaml', import.meta.url), 'utf8');
const warmer: LimitEdit = { at: 'warm-room', quantity: 'temperature', set: { high: 29 } };

let folder: string;
let path: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'farm-write-'));
  path = join(folder, 'farm.yaml');
  writeFileSync(path, small);
  onTestFinished(() => rmSync(folder, { recursive: true }));
});

it('changes the file whole, keeps its rights, leaves nothing beside it', async () => {
  chmodSync(path, 0o640);
  const result = await writeLimits(path, small, warmer, [oyster]);
  expect(result.ok && result.farm.rooms.get('warm-room')?.limits.temperature?.high).toBe(29);
  expect(readFileSync(path, 'utf8')).toBe(small.replace('high: 28,', 'high: 29,'));
  expect(statSync(path).mode & 0o777).toBe(0o640);
  expect(readdirSync(folder)).toEqual(['farm.yaml']);
});

it('writes through a link to the file it names', async () => {
  const link = join(folder, 'link.yaml');
  symlinkSync(path, link);
  await writeLimits(link, small, warmer, [oyster]);
  expect(lstatSync(link).isSymbolicLink()).toBe(true);
  expect(readFileSync(path, 'utf8')).toContain('high: 29');
});

it('leaves a file alone that was changed by hand meanwhile', async () => {
  const byHand = `${small}\n# changed by hand\n`;
  writeFileSync(path, byHand);
  await expect(writeLimits(path, small, warmer, [oyster])).rejects.toMatchObject({ code: 'conflict' });
  expect(readFileSync(path, 'utf8')).toBe(byHand);
});

it('writes nothing when the new limits are unsound', async () => {
  const result = await writeLimits(path, small, { ...warmer, set: { high: 1 } }, [oyster]);
  expect(result.ok).toBe(false);
  expect(readFileSync(path, 'utf8')).toBe(small);
});

it('says so when the file is gone', async () => {
  await expect(writeLimits(join(folder, 'no.yaml'), small, warmer, [oyster])).rejects.toMatchObject({
    code: 'store',
    message: expect.stringContaining('no.yaml cannot be read'),
  });
});
