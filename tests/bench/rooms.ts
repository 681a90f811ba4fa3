import { defaultRoom } from '../../shared/room/default-room.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import { unloadRooms } from '../../simulator/studies/unload-rooms.ts';
import { historyOf } from '../tools/unload-study.ts';
import type { Figure } from './figure.ts';

const rooms = 5;
const goalMs = 2_000;

/** The nightly fit of a room: thirty days at one minute, ten unloads among them. */
export async function run(): Promise<Figure[]> {
  const plain = { unit: 'ms', baseline: null, ratio: null };
  const ways = [
    { coolerTold: false, of: 'fit of 30 days at a minute', times: [] as number[] },
    { coolerTold: true, of: 'the same, cooler told', times: [] as number[] },
  ];
  for (const study of unloadRooms({ count: rooms, seed: 20_261_129, days: 30, small: 10 }))
    for (const { coolerTold, times } of ways) {
      const history = historyOf(study, coolerTold);
      const before = performance.now();
      fitRoom(history, defaultRoom(study.floorAreaM2, study.nameplateW ?? undefined));
      times.push(performance.now() - before);
    }
  return ways.flatMap(({ of, times }): Figure[] => {
    times.sort((a, b) => a - b);
    const longest = times[rooms - 1]!;
    return [
      { name: `${of}, median`, value: times[rooms >> 1]!, ...plain, goal: null, holds: null },
      {
        ...{ name: `${of}, longest of five rooms`, value: longest, ...plain },
        ...{ goal: `at most ${goalMs}`, holds: longest <= goalMs },
      },
    ];
  });
}
