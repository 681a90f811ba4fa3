import type { EpochMs } from '../../shared/time.ts';
import type { World } from '../world.ts';
import type { Happening } from './report.ts';

/** A room is over a limit when it has been for this long, and back when half a kelvin inside. */
const holdMs = 5 * 60_000;
const backK = 0.5;

export interface Watcher {
  /** Looks at the truth as it is now. */
  look(): void;
  happenings(): Happening[];
}

/** Notes what really happens in a world: what fails, and when a room passes its limits. */
export function watchWorld(world: World, from: EpochMs): Watcher {
  const hourMs = 3_600_000;
  const crossings: Happening[] = [];
  const open = new Map<string, Happening>();
  const since = new Map<string, EpochMs>();

  const watch = (room: string, key: string, what: string, over: boolean, back: boolean) => {
    const now = world.now();
    const current = open.get(key);
    if (current !== undefined) {
      if (back) {
        current.until = now;
        open.delete(key);
      }
      return;
    }
    if (!over) {
      since.delete(key);
      return;
    }
    const began = since.get(key) ?? now;
    since.set(key, began);
    if (now - began < holdMs) return;
    since.delete(key);
    const happening = { t: began, until: null, room, what };
    open.set(key, happening);
    crossings.push(happening);
  };

  return {
    look() {
      for (const { id, name, limits } of world.farm.rooms) {
        const { high, low } = limits.temperature ?? {};
        const tempC = world.roomC(id);
        if (high !== undefined)
          watch(id, `${id} high`, `${name} passed ${high} °C`, tempC > high, tempC < high - backK);
        if (low !== undefined)
          watch(id, `${id} low`, `${name} fell below ${low} °C`, tempC < low, tempC > low + backK);
      }
    },
    happenings() {
      const now = world.now();
      const failures = world.faults().map(({ room, fromH, toH, text }) => {
        const until = world.startAt + toH * hourMs;
        return { t: world.startAt + fromH * hourMs, until: until <= now ? until : null, room, what: text };
      });
      return [...failures, ...crossings].filter(({ t }) => t >= from && t <= now);
    },
  };
}
