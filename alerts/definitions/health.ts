import { type Channel, type Farm, isInLoads } from '../../shared/farm/farm.ts';
import type { Quantity } from '../../shared/readings.ts';
import { minuteMs, secondMs } from '../../shared/time.ts';
import { disagreementPlan } from '../conditions/disagreement.ts';
import { driftPlan } from '../conditions/drift.ts';
import type { LimitRule } from '../conditions/limit.ts';
import type { SignalPlan } from '../conditions/signal.ts';
import { stuckPlan } from '../conditions/stuck.ts';
import { factsOf, spoken, spokenSpan } from '../measures.ts';
import {
  assumedBattery,
  type Counsel,
  coolerCounsel,
  defaultDelayS,
  limitCounsel,
  sensorCounsel,
} from './counsel.ts';
import { type Evidence, ruleOf, type SignalDefinition, type Watched } from './definition.ts';
import { nextInLine } from './next-in-line.ts';

type Judged = Exclude<Quantity, 'battery' | 'cooler-on'>;

/** What is suspicious of each quantity; from what common parts promise, no single source. */
const suspicion: Record<Judged, { moved: number; jump: number; apart: number; driftSd: number }> = {
  temperature: { moved: 1, jump: 5, apart: 1.5, driftSd: 0.15 },
  'probe-temperature': { moved: 1, jump: 8, apart: 2, driftSd: 0.2 },
  humidity: { moved: 5, jump: 25, apart: 8, driftSd: 1 },
  co2: { moved: 200, jump: 1500, apart: 300, driftSd: 40 },
  pressure: { moved: 200, jump: 500, apart: 300, driftSd: 50 },
};

/** Jump that makes a spike [unit of the quantity], or null where none is judged. */
export const spikeJump = (channel: Channel): number | null => {
  // A probe that is pushed into a hot load, or falls out of it, jumps in earnest.
  return !isJudged(channel) || isInLoads(channel) ? null : suspicion[channel.quantity].jump;
};

/** Names of the counts that the book keeps itself of a channel's unusable readings and spikes. */
export const badCount = (channel: string): string => `${channel}>unusable`;
export const spikeCount = (channel: string): string => `${channel}>spikes`;
/** Alarms about the sensors themselves. */
export function healthAlarms(farm: Farm): SignalDefinition[] {
  const channels = [...farm.channels.values()];
  const judged = channels.filter(isJudged);
  return [
    ...judged.flatMap((channel) => ofChannel(farm, channel)),
    ...agreement(
      farm,
      judged.filter((channel) => !isInLoads(channel)),
    ),
    ...channels.filter(({ quantity }) => quantity === 'cooler-on').map(unusableCooler),
    ...channels.filter(({ quantity }) => quantity === 'battery').flatMap(batteryOf),
  ];
}

type JudgedChannel = Channel & { quantity: Judged };
/** A cooler that is on, or off, for hours is neither stuck nor jumps, and no neighbour need agree with it. */
const isJudged = (channel: Channel): channel is JudgedChannel =>
  channel.quantity !== 'battery' && channel.quantity !== 'cooler-on';

const nameOf = ({ sensor, quantity }: Channel): string => {
  const name = `Sensor ${sensor.name ?? sensor.id}`;
  return sensor.channels.length === 1 ? name : `${name}, ${quantity}`;
};

interface Draft {
  id: string;
  name: string;
  limit: Partial<LimitRule> & { limit: number };
  watched: [signal: string, watched: Watched][];
  plans?: SignalPlan[];
  causes?: string[];
  counsel?: Partial<Counsel>;
  unit?: string;
  condemns?: string;
  raised: (evidence: Evidence) => string;
  over: string;
}

function alarm({ room, shelf }: { room: string; shelf: string | null }, draft: Draft): SignalDefinition {
  const { id, name, raised, over } = draft;
  const counsel = { ...sensorCounsel, ...draft.counsel };
  const base: LimitRule = { side: 'above', deadband: 0, onDelayMs: 0, offDelayMs: 0, ...draft.limit };
  return {
    ...{ kind: 'signal', id, name, room, shelf, base, raised, over: () => over },
    ...counsel,
    rule: ruleOf(counsel.priority),
    ...{ route: null, unit: draft.unit ?? '' },
    causes: draft.causes ?? [],
    ruleAt: () => base,
    rules: [base],
    watched: new Map(draft.watched),
    plans: draft.plans ?? [],
    ...(draft.condemns === undefined ? {} : { condemns: draft.condemns }),
  };
}

function ofChannel(farm: Farm, channel: JudgedChannel): SignalDefinition[] {
  const { id, quantity, room } = channel;
  const { moved, driftSd } = suspicion[quantity];
  const name = nameOf(channel);
  const likeIt = isInLoads(channel)
    ? []
    : [...farm.channels.values()].filter(
        (other) => other.quantity === quantity && other.room === room && !isInLoads(other),
      );
  const neighbours = nextInLine(likeIt, channel).map((other) => other.id);
  const here: Watched = { channel: id, at: null };
  const stuck = stuckPlan(id, neighbours, moved);
  const drift = driftPlan(id, neighbours, driftSd);
  // Of a pair nobody knows which one drifts: one alarm names both.
  const pair = neighbours.length === 1 ? neighbours[0]! : null;
  const drifts = neighbours.length > 1 || (pair !== null && id < pair);
  return [
    unusable(channel, { priority: 2, consequence: 'Nobody knows the air there while it lasts.' }),
    alarm(channel, {
      id: `stuck/${id}`,
      name: `${name} stands still`,
      limit: { limit: 30, deadband: 29 },
      unit: ' min',
      watched: [[stuck.out, here]],
      plans: [stuck],
      condemns: id,
      raised: ({ value }) =>
        `${name} stands still: the same value for ${spokenSpan(value * minuteMs)} while its neighbours moved`,
      over: `${name} moves again`,
    }),
    alarm(channel, {
      id: `spikes/${id}`,
      name: `${name} jumps`,
      limit: { limit: 2.5, deadband: 2 },
      watched: [[spikeCount(id), here]],
      causes: [`unusable/${id}`],
      raised: ({ value }) => `${name} jumps: ${value} lone spikes within an hour`,
      over: `${name} is steady again`,
    }),
    ...(drifts
      ? [
          alarm(channel, {
            id: `drift/${id}`,
            name: `${name} drifts`,
            limit: { limit: 5, deadband: 4 },
            watched: [[drift.out, here]],
            plans: [drift],
            ...(pair === null ? { condemns: id } : {}),
            causes: [`stuck/${id}`],
            raised: ({ detail }) =>
              pair === null
                ? `${name} drifts: it reads ${detail} against its neighbours, more each day`
                : `${name} or ${pair} drifts: their difference grows each day`,
            over: `${name} agrees with its neighbours again`,
          }),
        ]
      : []),
  ];
}

function unusable(channel: Channel, counsel: Partial<Counsel>): SignalDefinition {
  const { id } = channel;
  const name = nameOf(channel);
  return alarm(channel, {
    id: `unusable/${id}`,
    name: `${name} sends what cannot be used`,
    limit: { limit: 2.5, deadband: 2 },
    watched: [[badCount(id), { channel: id, at: null }]],
    counsel,
    raised: ({ value }) => `${name} cannot measure: ${value} unusable readings in a row`,
    over: `${name} measures again`,
  });
}

const unusableCooler = (channel: Channel): SignalDefinition => unusable(channel, coolerCounsel);

/** Sensors that hang in the same place and ought to say the same. */
function agreement(farm: Farm, judged: readonly JudgedChannel[]): SignalDefinition[] {
  const groups = new Map<string, JudgedChannel[]>();
  for (const channel of judged) {
    const { room, shelf, quantity } = channel;
    const key = `${shelf ?? room}.${quantity}`;
    groups.set(key, [...(groups.get(key) ?? []), channel]);
  }
  return [...groups].flatMap(([key, members]) => {
    const [first] = members;
    if (first === undefined || members.length < 2) return [];
    const { quantity, room, shelf } = first;
    const { apart } = suspicion[quantity];
    const place = shelf === null ? (farm.rooms.get(room)?.name ?? room) : `Shelf ${shelf}`;
    const plans = members.map((member) =>
      disagreementPlan(
        member.id,
        nextInLine(members, member).map(({ id, sensor }) => ({
          channel: id,
          everyMs: sensor.everyS * secondMs,
        })),
      ),
    );
    return alarm(first, {
      id: `disagree/${key}`,
      name: `${place}: ${quantity} sensors disagree`,
      limit: { limit: apart, deadband: apart / 3, onDelayMs: 30 * minuteMs, offDelayMs: 10 * minuteMs },
      watched: members.map(({ id, sensor }, n) => [
        plans[n]!.out,
        { channel: id, at: sensor.name ?? sensor.id },
      ]),
      plans,
      unit: factsOf(quantity).unit,
      causes: members.flatMap(({ id }) => [`stuck/${id}`, `drift/${id}`, `unusable/${id}`]),
      raised: ({ value, at, limit }) =>
        members.length === 2
          ? `${place}: its two ${quantity} sensors are ${spoken(quantity, value)} apart, limit ${limit}`
          : `${place}: sensor ${at} is ${spoken(quantity, value)} from the others, limit ${limit}`,
      over: `${place}: ${quantity} sensors agree again`,
    });
  });
}

function batteryOf(channel: Channel): SignalDefinition[] {
  const name = `Sensor ${channel.sensor.name ?? channel.sensor.id}`;
  const { low, lowLow, deadband } = assumedBattery;
  const delays = { onDelayMs: defaultDelayS * secondMs, offDelayMs: defaultDelayS * secondMs };
  const empty = `battery-empty/${channel.sensor.id}`;
  // The cause comes first, so that a battery found empty rings once.
  return (['low-low', 'low'] as const).map((side) =>
    alarm(channel, {
      id: side === 'low' ? `battery/${channel.sensor.id}` : empty,
      name: `${name}: battery ${side === 'low' ? 'low' : 'nearly empty'}`,
      limit: { side: 'below', limit: side === 'low' ? low! : lowLow!, deadband: deadband!, ...delays },
      watched: [[channel.id, { channel: channel.id, at: null }]],
      causes: side === 'low' ? [empty] : [],
      unit: ' %',
      counsel: limitCounsel('battery', side),
      raised: ({ value }) =>
        `${name}: battery ${side === 'low' ? 'low' : 'nearly empty'}, ${spoken('battery', value)}`,
      over: `${name}: battery changed`,
    }),
  );
}
