import { expect, it } from 'vitest';
import { awaitsRestart } from '../../../../collector/farm/awaits-restart.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const { file } = smallFarm([]);
const screens = { ...file.screens, names: ['wall.fernhollow.example'] };

it('what holds at once waits for nothing', () => {
  expect(awaitsRestart(file, structuredClone(file))).toBeNull();
  expect(awaitsRestart(file, { ...file, notify: ['ida'], rooms: [] })).toBeNull();
});

it('what is read at the start only is named, until it is as it was', () => {
  expect(awaitsRestart(file, { ...file, screens })).toContain('of screens holds from the next start on');
  const store = { ...file.store, rawDays: 5 };
  const broker = { embedded: { port: 1884, host: '127.0.0.1' } };
  expect(awaitsRestart(file, { ...file, screens, broker, store })).toContain('screens, broker and store');
  const site = { ...file.site, address: 'http://farm-box.lan:8420' };
  expect(awaitsRestart(file, { ...file, site })).toContain('site.address');
});
