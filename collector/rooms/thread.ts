import { parentPort } from 'node:worker_threads';
import { createLocalHour } from '../../shared/local-hour.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import type { RoomPast } from './past.ts';

/** One room to learn. */
export interface RoomOrder {
  room: string;
  timeZone: string;
  past: RoomPast;
  prior: RoomFit;
}

/** What came of it: a fit, or why there is none. */
export type RoomAnswer = { room: string } & ({ fit: RoomFit } | { problem: string });

parentPort!.on('message', ({ room, timeZone, past, prior }: RoomOrder) => {
  const localHour = createLocalHour(timeZone);
  let answer: RoomAnswer;
  try {
    answer = { room, fit: fitRoom({ ...past, localHour }, prior) };
  } catch (thrown) {
    answer = { room, problem: thrown instanceof Error ? thrown.message : String(thrown) };
  }
  parentPort!.postMessage(answer);
});
