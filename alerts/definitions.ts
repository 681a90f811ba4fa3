import type { Priority } from '../shared/alarms.ts';
import type { Channel, Farm } from '../shared/farm/farm.ts';
import type { LimitBand } from '../shared/farm/schema.ts';
import type { Quantity } from '../shared/readings.ts';
import { minuteMs, secondMs } from '../shared/time.ts';
import type { LimitRule } from './conditions/limit.ts';
import {
  assumedTemperature,
  defaultDeadband,
  defaultDelayS,
  defaultReAlarmMin,
  defaultShelveCapMin,
  limitCounsel,
  silenceCounsel,
} from './defaults.ts';
import type { AlarmRule } from './state.ts';
import { type ConditionName, limitTitle } from './words.ts';

/** What every alarm carries: where, how urgent, what follows, what to do, and how it moves. */
export interface AlarmDefinition {
  /** `<condition>/<place>.<quantity>`, `silent/<sensor>` or `system/<part>`. */
  id: string;
  condition: ConditionName;
  name: string;
  priority: Priority;
  consequence: string;
  advice: string;
  respondWithinMin: number;
  room: string | null;
  shelf: string | null;
  rule: AlarmRule;
}

/** A limit on one quantity of one place, over all channels that measure it there. */
export interface LimitDefinition extends AlarmDefinition {
  condition: 'low-low' | 'low' | 'high' | 'high-high';
  quantity: Quantity;
  limit: LimitRule;
  /** The place in words: `Warm room`, `Shelf A3`. */
  place: string;
  /** Channel -> shelf to name when it is the worst; null when it hangs where the alarm is. */
  channels: ReadonlyMap<string, string | null>;
}

export interface SilenceDefinition extends AlarmDefinition {
  condition: 'silent';
  sensor: string;
  everyMs: number;
}

export interface Definitions {
  limits: LimitDefinition[];
  silences: SilenceDefinition[];
}

const limitKinds = [
  { condition: 'high-high', key: 'highHigh', side: 'above' },
  { condition: 'high', key: 'high', side: 'above' },
  { condition: 'low', key: 'low', side: 'below' },
  { condition: 'low-low', key: 'lowLow', side: 'below' },
] as const;

/**
 * All alarms of a farm. **One cause, one alarm**: a limit watches its quantity over the whole room, on
 * room and shelf channels alike, and holds while any of them is beyond it, named after the worst. Only a
 * shelf with limits of its own leaves its room's alarm and gets one. A sensor of several quantities that
 * falls silent is one alarm, not one a quantity.
 */
export function definitionsOf(farm: Farm): Definitions {
  const places = new Map<string, { channel: Channel; members: Channel[]; own: boolean }>();
  for (const channel of farm.channels.values()) {
    const own = channel.shelf !== null && ownLimits(farm, channel) !== undefined;
    const key = `${own ? channel.shelf : channel.room}.${channel.quantity}`;
    const place = places.get(key);
    if (place) place.members.push(channel);
    else places.set(key, { channel, members: [channel], own });
  }
  const limits = [...places].flatMap(([key, { channel, members, own }]) =>
    limitsAt(farm, key, channel, members, own),
  );
  return { limits, silences: silencesOf(farm) };
}

/** A band's priority is that of its plain limits; the outer ones are one step more urgent. */
const urgency = (written: Priority, condition: LimitDefinition['condition']): Priority =>
  condition === 'high' || condition === 'low' || written === 1 ? written : written === 3 ? 2 : 1;

type Limited = 'temperature' | 'humidity';
const isLimited = (quantity: Quantity): quantity is Limited =>
  quantity === 'temperature' || quantity === 'humidity';

const ownLimits = (farm: Farm, channel: Channel): LimitBand | undefined =>
  isLimited(channel.quantity) && channel.shelf !== null
    ? farm.shelves.get(channel.shelf)?.limits[channel.quantity]
    : undefined;

function bandAt(farm: Farm, channel: Channel, own: boolean): LimitBand | undefined {
  if (!isLimited(channel.quantity)) return undefined;
  const written = farm.rooms.get(channel.room)?.limits[channel.quantity];
  const ofRoom = written ?? (channel.quantity === 'temperature' ? assumedTemperature : undefined);
  return own ? { ...ofRoom, ...ownLimits(farm, channel) } : ofRoom;
}

function limitsAt(
  farm: Farm,
  key: string,
  channel: Channel,
  members: readonly Channel[],
  own: boolean,
): LimitDefinition[] {
  const band = bandAt(farm, channel, own);
  if (band === undefined) return [];
  const roomName = farm.rooms.get(channel.room)?.name ?? channel.room;
  const place = own ? `Shelf ${channel.shelf}` : roomName;
  const { quantity } = channel;
  return limitKinds.flatMap(({ condition, key: limitKey, side }) => {
    const limit = band[limitKey];
    if (limit === undefined) return [];
    const counsel = limitCounsel(quantity, condition);
    const priority = band.priority === undefined ? counsel.priority : urgency(band.priority, condition);
    return {
      id: `${condition}/${key}`,
      condition,
      name: limitTitle(place, null, quantity, condition, null, limit),
      priority,
      consequence: band.consequence ?? counsel.consequence,
      advice: band.advice ?? counsel.advice,
      respondWithinMin: band.respondWithinMin ?? counsel.respondWithinMin,
      room: channel.room,
      shelf: own ? channel.shelf : null,
      rule: ruleOf(priority, band.latching ?? false),
      quantity,
      place,
      limit: {
        side,
        limit,
        deadband: band.deadband ?? defaultDeadband(quantity, band),
        onDelayMs: (band.onDelayS ?? defaultDelayS) * secondMs,
        offDelayMs: (band.offDelayS ?? defaultDelayS) * secondMs,
      },
      channels: new Map(members.map((member) => [member.id, own ? null : member.shelf])),
    };
  });
}

export const ruleOf = (priority: Priority, latching: boolean): AlarmRule => {
  const reAlarmMin = defaultReAlarmMin[priority];
  return {
    latching,
    reAlarmMs: reAlarmMin === null ? null : reAlarmMin * minuteMs,
    shelveCapMs: defaultShelveCapMin * minuteMs,
  };
};

function silencesOf(farm: Farm): SilenceDefinition[] {
  const bySensor = new Map<string, Channel>();
  for (const channel of farm.channels.values())
    if (!bySensor.has(channel.sensor.id)) bySensor.set(channel.sensor.id, channel);
  return [...bySensor.values()].map(({ sensor, room, shelf }) => ({
    ...silenceCounsel,
    id: `silent/${sensor.id}`,
    condition: 'silent',
    name: `Sensor ${sensor.name ?? sensor.id} silent`,
    room,
    shelf,
    rule: ruleOf(silenceCounsel.priority, false),
    sensor: sensor.id,
    everyMs: sensor.everyS * secondMs,
  }));
}
