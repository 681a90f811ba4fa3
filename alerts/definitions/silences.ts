import { type Channel, type Farm, isInLoads } from '../../shared/farm/farm.ts';
import { hourMs, secondMs } from '../../shared/time.ts';
import { silentPeriods } from '../conditions/silence.ts';
import { type Counsel, coolerCounsel, silenceCounsel } from './counsel.ts';
import { ruleOf, type SilenceDefinition, type SilenceGroupDefinition } from './definition.ts';

/** A quantity may be left out of some messages: silent by itself only after this many times its sensor's period. */
const channelPeriods = 5;
/** Charge is sent seldom by many parts. */
const batteryEveryMs = 12 * hourMs;

/** The broker's own alarm: whatever comes through it is silent while it is away. */
const broker = 'system/broker';
const wholeSite = 'silent-all/site';

const groupCounsel: Record<'site' | 'gateway' | 'room', Counsel> = {
  site: {
    priority: 1,
    consequence: 'Nobody knows the air of any room: nothing else can ring until sensors are heard again.',
    advice: 'Check power, the broker and the network; go and look at the rooms until sensors speak again.',
    respondWithinMin: 20,
  },
  gateway: {
    priority: 2,
    consequence: 'Nobody knows the air wherever its sensors hang; forecasts go on with less certainty.',
    advice: 'Check its power and network, then start it again; look at the rooms until it speaks.',
    respondWithinMin: 60,
  },
  room: {
    priority: 1,
    consequence: 'If the power is gone, cooling is gone too: the room warms, and nobody sees it.',
    advice: 'Go and look: breakers, power, cooling. Leave electrical work to those who are trained for it.',
    respondWithinMin: 20,
  },
};

/** The probe for loads that is all a sensor has, but for its battery: unplugged between loads, it misses nobody. */
function onlyProbe(channels: readonly Channel[]): string | null {
  const probe = channels.find(isInLoads);
  const tellsMore = channels.some((one) => one !== probe && one.quantity !== 'battery');
  return probe === undefined || tellsMore ? null : probe.id;
}

/** A sensor of a cooler, and of nothing else but its own battery: no air is missed when it falls silent. */
const onlyCooler = (channels: readonly Channel[]): boolean =>
  channels.some(({ quantity }) => quantity === 'cooler-on') &&
  channels.every(({ quantity }) => quantity === 'cooler-on' || quantity === 'battery');

/** A sensor of several quantities that falls silent is one alarm, not one a quantity. */
export function silenceAlarms(farm: Farm): SilenceDefinition[] {
  return [...sensorsOf(farm)].flatMap(([sensor, channels]) => {
    const { room, shelf, sensor: spec } = channels[0]!;
    const name = `Sensor ${spec.name ?? sensor}`;
    const counsel = onlyCooler(channels) ? coolerCounsel : silenceCounsel;
    const common = {
      ...counsel,
      ...({ kind: 'silence', room, shelf, route: null, unit: '', sensor } as const),
      rule: ruleOf(counsel.priority),
    };
    const everyMs = spec.everyS * secondMs;
    const inLoads = onlyProbe(channels);
    const whole: SilenceDefinition = {
      ...common,
      id: `silent/${sensor}`,
      name: `${name} silent`,
      causes: commonCauses(spec.gateway, room),
      everyMs,
      lingerMs: silentPeriods * everyMs,
      channel: null,
      inLoads,
    };
    if (channels.length === 1) return [whole];
    return [
      whole,
      ...channels.map((channel): SilenceDefinition => {
        const { id, quantity } = channel;
        return {
          ...common,
          ...(quantity === 'cooler-on' ? coolerCounsel : {}),
          id: `silent-channel/${id}`,
          name: `${name}: ${quantity} silent`,
          causes: [whole.id],
          everyMs: quantity === 'battery' ? Math.max(batteryEveryMs, everyMs) : channelPeriods * everyMs,
          channel: id,
          inLoads: isInLoads(channel) ? id : inLoads,
        };
      }),
    ];
  });
}

/** Sensors that fall silent together have one cause: the site's network, a gateway, or the power of a room. */
export function silenceGroups(farm: Farm): SilenceGroupDefinition[] {
  const all = [...sensorsOf(farm)].map(([id, [channel]]) => ({
    id,
    room: channel!.room,
    gateway: channel!.sensor.gateway,
    everyMs: channel!.sensor.everyS * secondMs,
  }));
  const rooms = [...new Set(all.map(({ room }) => room))];
  const gateways = [...new Set(all.flatMap(({ gateway }) => gateway ?? []))];
  const group = (
    what: keyof typeof groupCounsel,
    id: string,
    words: { name: string; raised: string },
    members: typeof all,
    place: { room: string | null; causes: string[] },
  ): SilenceGroupDefinition[] =>
    members.length < 2
      ? []
      : [
          {
            ...groupCounsel[what],
            ...{ kind: 'group', id, ...words, ...place, shelf: null, route: null, unit: '' },
            rule: ruleOf(groupCounsel[what].priority),
            members: members.map((member) => member.id),
            lingerMs: silentPeriods * Math.max(...members.map(({ everyMs }) => everyMs)),
          },
        ];
  return [
    ...(rooms.length < 2
      ? []
      : group(
          'site',
          wholeSite,
          { name: 'No sensor is heard', raised: `none of ${all.length} sensors is heard` },
          all,
          { room: null, causes: [broker] },
        )),
    ...gateways.flatMap((gateway) => {
      const members = all.filter((one) => one.gateway === gateway);
      return group(
        'gateway',
        `silent-gateway/${gateway}`,
        { name: `Gateway ${gateway} silent`, raised: `none of its ${members.length} sensors is heard` },
        members,
        { room: null, causes: [broker, wholeSite] },
      );
    }),
    ...rooms.flatMap((room) => {
      const members = all.filter((one) => one.room === room);
      const [first] = members;
      const oneGateway = members.every(({ gateway }) => gateway === first?.gateway)
        ? first?.gateway
        : undefined;
      return group(
        'room',
        `silent-room/${room}`,
        {
          name: `${farm.rooms.get(room)?.name ?? room} silent`,
          raised: `none of its ${members.length} sensors is heard, likely a power loss`,
        },
        members,
        { room, causes: commonCauses(oneGateway, null) },
      );
    }),
  ];
}

const commonCauses = (gateway: string | undefined, room: string | null): string[] => [
  broker,
  wholeSite,
  ...(gateway === undefined ? [] : [`silent-gateway/${gateway}`]),
  ...(room === null ? [] : [`silent-room/${room}`]),
];

function sensorsOf(farm: Farm): Map<string, Channel[]> {
  const bySensor = new Map<string, Channel[]>();
  for (const channel of farm.channels.values()) {
    const known = bySensor.get(channel.sensor.id);
    if (known) known.push(channel);
    else bySensor.set(channel.sensor.id, [channel]);
  }
  return bySensor;
}
