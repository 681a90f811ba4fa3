import { minuteMs } from '../shared/time.ts';
import type { UnloadEvent } from '../shared/unloads.ts';
import type { World } from './world.ts';

/** Of a load whose core nobody measured [°C]. */
const usualStartC = 97;

/** A load told of later than this has no truth to follow: no cart comes in because somebody says that one did. */
const lateMs = 10 * minuteMs;

/** Sensor of a channel such as `cart-warm.probe-temperature`. */
const sensorOf = (channel: string | null): string | null => channel?.split('.', 1)[0] ?? null;

/** Lets truth follow what was recorded of hot loads: they come into their room, and go again. */
export function followUnload(
  world: Pick<World, 'bringIn' | 'takeAway' | 'putProbe' | 'now'>,
  event: UnloadEvent,
): void {
  if (event.kind === 'begun') {
    if (world.now() - event.t > lateMs) return;
    const { container, count, startC } = event.load;
    world.bringIn({
      ...{ id: event.unload, room: event.room, container, count, startC: startC ?? usualStartC },
      ...(event.probe === undefined ? {} : { probe: sensorOf(event.probe) }),
    });
  } else if (event.kind === 'probed') world.putProbe(event.unload, sensorOf(event.channel));
  else if (event.kind === 'ended' || event.kind === 'withdrawn') world.takeAway(event.unload);
}
