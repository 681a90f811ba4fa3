import { expect, test } from 'vitest';
import { defaultRoom } from '../../../shared/room/default-room.ts';
import { fitRoom } from '../../../shared/room/fit-room.ts';
import type { RoomHistory } from '../../../shared/room/history.ts';
import { roomParamNames } from '../../../shared/room/params.ts';
import { unloadRooms } from '../../../simulator/studies/unload-rooms.ts';
import { historyOf, unloadStudy } from '../../tools/unload-study.ts';

// The full study is `npm run bench -- unloads`: fifty rooms, with goals of eight in ten.
test('what an unload does is foreseen in some of few rooms never seen', () => {
  const { rise, core, riseHeld } = unloadStudy({ rooms: 3, seed: 5, trained: true, days: 7, draws: 16 });
  expect(rise).toBeGreaterThanOrEqual(0.3);
  expect(core).toBeGreaterThanOrEqual(0.3);
  expect(riseHeld).toBeGreaterThanOrEqual(0.3);
});

test('air told every few minutes, which shows no swings, leaves the cooler far less sure', () => {
  const [study] = unloadRooms({ count: 1, seed: 5, days: 7, small: 1 });
  const told = historyOf(study!);
  const seldom = { ...told, airC: Array.from(told.airC, (airC, k) => (k % 4 === 0 ? airC : Number.NaN)) };
  const place = roomParamNames.indexOf('coolingW');
  const coolingOf = (history: RoomHistory) => {
    const { mean, covariance } = fitRoom(history, defaultRoom(study!.floorAreaM2));
    return { ln: mean[place]!, sd: Math.sqrt(covariance[place * (mean.length + 1)]!) };
  };
  const [often, rarely] = [coolingOf(told), coolingOf(seldom)];
  expect(rarely.sd).toBeGreaterThan(1.3 * often.sd);
  // What it truly is lies in the 80 % range.
  expect(Math.abs(rarely.ln - Math.log(study!.built.coolingW))).toBeLessThan(1.28 * rarely.sd);
});

test('a fit whose cooler is told knows how sure it is of what a room holds and loses', () => {
  // Of seed 12 the first has no sensor outside and the third has one.
  const [untold, , told] = unloadRooms({ count: 3, seed: 12, days: 14, small: 3 });
  expect([untold, told].map((study) => study!.past.outsideC === null)).toEqual([true, false]);
  for (const study of [untold!, told!]) {
    const { built, floorAreaM2, nameplateW } = study;
    const fit = fitRoom(historyOf(study, true), defaultRoom(floorAreaM2, nameplateW ?? undefined));
    expect(fit.coolerSignal).toBe('taught');
    for (const name of ['structureJPerK', 'structureToOutsideWPerK'] as const) {
      const place = roomParamNames.indexOf(name);
      const sd = Math.sqrt(fit.covariance[place * (fit.mean.length + 1)]!);
      expect(Math.abs(fit.mean[place]! - Math.log(built[name])) / sd).toBeLessThan(2.6);
    }
  }
});
