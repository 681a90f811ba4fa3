import { roomAirChannels } from '../../shared/air/room-channels.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { itself } from '../../shared/itself.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { isNews } from '../../shared/unload/asked-before.ts';
import type { UnloadAsked, UnloadState } from '../../shared/unload/derive.ts';
import { recogniseUnload } from '../../shared/unload/recognise.ts';
import { takenBack } from '../../shared/unload/taken-back.ts';
import type { UnloadEvent } from '../../shared/unloads.ts';
import type { StoreHistory } from '../store/history.ts';
import { recentAir } from './recent-air.ts';

/** How often a room is looked at, and how far back. */
const lookEveryMs = 5 * minuteMs;
const lookBackMs = 8 * hourMs;
/** What nobody answered for so long is no longer asked. */
const askedForMs = 24 * hourMs;

interface GuessNeeds {
  farm: () => Farm;
  history: Pick<StoreHistory, 'readMinutes'>;
  fitOf: (room: string) => RoomFit;
  /** Heat that bags give to a room [W]; null where nobody knows. */
  bagsW: (room: string, t: EpochMs) => number | null;
  localHour: () => (t: EpochMs) => number;
  unloads: () => readonly UnloadState[];
  /** Questions that nobody has answered. */
  unanswered: () => readonly UnloadAsked[];
  /** Everything that was ever asked, answered or not. */
  everAsked: () => readonly { room: string; at: EpochMs; orStopped?: boolean | undefined }[];
  record: (event: UnloadEvent) => void;
}

/**
 * Looks at the air of rooms for loads that nobody declared, and asks about each once; a question that the room's later
 * course speaks against is answered by it.
 */
export function createGuesses(needs: GuessNeeds) {
  let lookedAt = Number.NEGATIVE_INFINITY;

  const lookAt = (room: string, now: EpochMs): void => {
    const unloads = needs.unloads().filter((one) => one.room === room && one.stage !== 'withdrawn');
    if (unloads.some(({ stage }) => stage === 'underway')) return;
    const { history } = needs;
    const farm = needs.farm();
    const air = recentAir({ farm, room, now, history, from: now - lookBackMs, stepMs: minuteMs });
    for (const one of needs.unanswered()) {
      const why = one.room === room ? takenBack(air, one.at, now) : null;
      const id = `${one.id}-taken-back`.slice(-64);
      if (why !== null) needs.record({ kind: 'denied', id, unload: one.id, t: now, who: itself, why });
    }
    const known = { fit: needs.fitOf(room), bagsW: needs.bagsW(room, now) };
    const found = recogniseUnload({ air, ...known, localHour: needs.localHour(), now });
    if (found === null) return;
    const asked = needs.everAsked().filter((one) => one.room === room);
    // A question that became a load is a load for certain.
    if (!isNews(found, [...unloads.map(({ at }) => ({ at })), ...asked])) return;
    const id = `guess-${room}-${found.at}`.slice(0, 64);
    needs.record({
      ...{ kind: 'asked', id, unload: id, t: now, who: itself, room },
      ...{ at: found.at, why: found.why.slice(0, 300), orStopped: found.orStopped },
    });
  };

  return {
    /** To be called often; does something every few minutes. */
    look(now: EpochMs): void {
      if (now - lookedAt < lookEveryMs && now >= lookedAt) return;
      lookedAt = now;
      const farm = needs.farm();
      for (const room of farm.rooms.keys()) if (roomAirChannels(farm, room).length > 0) lookAt(room, now);
    },
    /** Of questions that nobody answered, those that are still worth an answer. */
    open: (asked: readonly UnloadAsked[], now: EpochMs): UnloadAsked[] =>
      asked.filter(({ askedAt }) => now - askedAt < askedForMs),
  };
}
