import { type EpochMs, hourMs } from '../../shared/time.ts';
import type { UnloadEvent } from '../../shared/unloads.ts';
import { createRandom, seedOf } from '../random.ts';
import type { PlannedUnload } from '../scenarios/scenario.ts';
import type { World } from '../world.ts';

interface UnloadAct {
  at: EpochMs;
  /** Does it, and tells how it is written down. */
  act(world: World): UnloadEvent[];
}

function actsOf(unload: PlannedUnload, startAt: EpochMs): UnloadAct[] {
  const { id, room, container, count, startC, who, measuredAfterH } = unload;
  const begins = startAt + unload.atH * hourMs;
  const noise = createRandom(seedOf('core', id));
  const written = (kind: string, t: EpochMs) => ({ id: `fh-${id}-${kind}`, t, who, unload: id });
  const begun: UnloadAct = {
    at: begins,
    act(world) {
      // Measured by hand: with a probe's readings each report would take seconds more at a first start.
      const probe = null;
      world.bringIn({ id, room, container, count, startC, probe });
      const load = { container, count, startC: Math.round(startC) };
      const options = { fan: false, extraCoolingW: 0 };
      return [{ ...written('begun', begins), kind: 'begun', room, load, options, probe }];
    },
  };
  const measured = measuredAfterH.map((hours, n): UnloadAct => {
    const at = begins + hours * hourMs;
    return {
      at,
      act(world) {
        const now = world.loadC(id);
        if (now === undefined) return [];
        const tempC = Math.round(10 * (now.coreC + noise.normal(0, 0.4))) / 10;
        const told: UnloadEvent[] = [{ ...written(`core-${n}`, at), kind: 'measured', where: 'core', tempC }];
        if (n < measuredAfterH.length - 1) return told;
        world.takeAway(id);
        return [...told, { ...written('ended', at), kind: 'ended', because: 'hand' }];
      },
    };
  });
  return [begun, ...measured];
}

/** The farm's hot loads: what is next, and what is due. It needs no memory but the world's clock. */
export function createUnloader(world: World) {
  const acts = (world.scenario.unloads ?? [])
    .flatMap((unload) => actsOf(unload, world.startAt))
    .sort((a, b) => a.at - b.at);
  return {
    /** The first instant after `t` at which there is something to do; infinite when there is none. */
    nextAfter: (t: EpochMs): EpochMs => acts.find(({ at }) => at > t)?.at ?? Number.POSITIVE_INFINITY,
    /** Does what is due at the world's own instant. */
    doNow: (): UnloadEvent[] => acts.filter(({ at }) => at === world.now()).flatMap(({ act }) => act(world)),
  };
}
