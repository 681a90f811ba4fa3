import type { Farm } from '../../shared/farm/farm.ts';
import type { ShelfAirSeries } from '../../shared/forecasts.ts';
import type { ShelfAirQuestion } from '../../shared/ports.ts';
import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { RecentAir } from '../../shared/unload/plan-input.ts';

/** What a day has shown changes little within an hour. */
const keptForMs = hourMs;
const lookedBackMs = 24 * hourMs;
const points = 48;

interface Known {
  at: EpochMs;
  aboveK: number;
}

/**
 * How much warmer the air at each shelf usually is than its room's, over the last day, from the shelf air that
 * forecasts go by. A shelf of which nothing can be said counts as the room.
 */
export function createShelfDifferences(
  shelfAir: ((question: ShelfAirQuestion) => Promise<ShelfAirSeries>) | null,
) {
  const known = new Map<string, Known>();

  const measure = async (shelf: string, room: RecentAir, now: EpochMs): Promise<number> => {
    if (shelfAir === null) return 0;
    const series = await shelfAir({ shelf, from: now - lookedBackMs, to: now, maxPoints: points });
    const differences = series.points.flatMap(({ t, tempC }) => {
      const roomC = room.airC[Math.round((t - room.firstT) / room.stepMs)];
      return roomC === undefined || Number.isNaN(roomC) ? [] : [tempC - roomC];
    });
    return differences.length === 0
      ? 0
      : differences.reduce((sum, difference) => sum + difference, 0) / differences.length;
  };

  return {
    /** Differences of all shelves of a room [K]. */
    async of(farm: Farm, room: string, recent: RecentAir, now: EpochMs): Promise<(shelf: string) => number> {
      const shelves = [...farm.shelves.values()].filter((shelf) => shelf.room === room);
      await Promise.all(
        shelves.map(async ({ id }) => {
          const before = known.get(id);
          if (before !== undefined && now - before.at < keptForMs && now >= before.at) return;
          // While its thread is starting the last answer is better than none, and the next question asks again.
          const aboveK = await measure(id, recent, now).catch(() => null);
          if (aboveK !== null) known.set(id, { at: now, aboveK });
        }),
      );
      return (shelf) => known.get(shelf)?.aboveK ?? 0;
    },
  };
}
