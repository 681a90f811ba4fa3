import { defaultRoom } from '../../shared/room/default-room.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import { unloadRooms } from '../../simulator/studies/unload-rooms.ts';
import { historyOf } from '../tools/unload-study.ts';
import type { Figure } from './figure.ts';

const rooms = 5;
const goalMs = 2_000;

/** The nightly fit of a room: thirty days at one minute, ten unloads among them. */
export async function run(): Promise<Figure[]> {
  const times: number[] = [];
  for (const study of unloadRooms({ count: rooms, seed: 20_261_129, days: 30, small: 10 })) {
    const history = historyOf(study);
    const before = performance.now();
    fitRoom(history, defaultRoom(study.floorAreaM2, study.nameplateW ?? undefined));
    times.push(performance.now() - before);
  }
  times.sort((a, b) => a - b);
  const plain = { unit: 'ms', baseline: null, ratio: null };
  return [
    {
      name: 'fit of 30 days at a minute, median',
      value: times[rooms >> 1]!,
      ...plain,
      goal: null,
      holds: null,
    },
    {
      ...{ name: 'longest of five rooms', value: times[rooms - 1]!, ...plain },
      ...{ goal: `at most ${goalMs}`, holds: times[rooms - 1]! <= goalMs },
    },
  ];
}
