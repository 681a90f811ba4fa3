import type { Channel, Farm } from '../../shared/farm/farm.ts';
import { secondMs } from '../../shared/time.ts';
import { silenceCounsel } from './counsel.ts';
import { ruleOf, type SilenceDefinition } from './definition.ts';

/** A sensor of several quantities that falls silent is one alarm, not one a quantity. */
export function silenceAlarms(farm: Farm): SilenceDefinition[] {
  const bySensor = new Map<string, Channel>();
  for (const channel of farm.channels.values())
    if (!bySensor.has(channel.sensor.id)) bySensor.set(channel.sensor.id, channel);
  return [...bySensor.values()].map(({ sensor, room, shelf }) => ({
    ...silenceCounsel,
    kind: 'silence',
    id: `silent/${sensor.id}`,
    name: `Sensor ${sensor.name ?? sensor.id} silent`,
    ...{ room, shelf, route: null, causes: [], unit: '' },
    rule: ruleOf(silenceCounsel.priority),
    sensor: sensor.id,
    everyMs: sensor.everyS * secondMs,
  }));
}
