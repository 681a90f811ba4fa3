import { expect, test } from 'vitest';
import { unloadStudy } from '../../tools/unload-study.ts';

// The full study is `npm run bench -- unloads`: fifty rooms, with goals of eight in ten.
test('what an unload does is foreseen in some of few rooms never seen', () => {
  const { rise, core, riseHeld } = unloadStudy({ rooms: 3, seed: 5, trained: true, days: 7, draws: 16 });
  expect(rise).toBeGreaterThanOrEqual(0.3);
  expect(core).toBeGreaterThanOrEqual(0.3);
  expect(riseHeld).toBeGreaterThanOrEqual(0.3);
});
