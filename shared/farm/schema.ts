import { z } from 'zod';
import { generation } from '../bags.ts';
import { responseSpec } from '../growth/response-spec.ts';
import { quantity } from '../readings.ts';
import { farmId as id } from './id.ts';
import { limits } from './limits-schema.ts';
import { announce, digest, heartbeat, person, route, webhook } from './people-schema.ts';
import { certificateFiles, screens } from './screens-schema.ts';

export type { LimitBand, Limits } from './limits-schema.ts';

/** Shelf names are what is painted on the rack. */
const shelfId = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9-]{0,15}$/, 'letters, digits and hyphens, at most 16');

const temperatureC = z.number().min(-40).max(150);

const shelf = z.strictObject({
  id: shelfId,
  /** How many bags stand side by side; for drawing. */
  places: z.number().int().min(1).max(200).default(9),
  limits: limits.optional(),
});

const rack = z.strictObject({
  id: shelfId,
  name: z.string().max(60).optional(),
  /** Top shelf first, as the rack stands. */
  shelves: z.array(shelf).min(1),
});

const room = z.strictObject({
  id,
  name: z.string().min(1).max(60),
  floorAreaM2: z.number().positive().max(2_000).optional(),
  /** Cooling on the nameplate of its cooler [W]: a first guess until the room was learned. */
  coolingW: z.number().min(50).max(500_000).optional(),
  limits: limits.default({}),
  racks: z.array(rack).default([]),
});

/** Correction from an instant on: an offset, or two points (as sent -> true). */
const calibration = z.union([
  z.strictObject({ from: z.iso.date(), offset: z.number() }),
  z.strictObject({
    from: z.iso.date(),
    points: z.tuple([z.tuple([z.number(), z.number()]), z.tuple([z.number(), z.number()])]),
  }),
]);
export type Calibration = z.infer<typeof calibration>;

export const sensorUnit = z.enum([
  'degC',
  'degF',
  'K',
  '%',
  'fraction',
  'ppm',
  'Pa',
  'hPa',
  'V',
  /** On or off: `ON`, `OFF`, `true`, `false`, `1`, `0`, or a boolean in JSON. */
  'state',
  'W',
]);
export type SensorUnit = z.infer<typeof sensorUnit>;

const decoderName = z.enum(['plain', 'json']);
export type DecoderName = z.infer<typeof decoderName>;

const sensorChannel = z.strictObject({
  quantity,
  unit: sensorUnit,
  /** RFC 6901 pointer into a JSON payload; `json` only. */
  pointer: z.string().optional(),
  /** Of a cooler whose power is measured: above this it counts as on [W]; with unit `W` only. */
  onAboveW: z.number().positive().max(500_000).optional(),
  calibration: z.array(calibration).default([]),
});
export type SensorChannel = z.infer<typeof sensorChannel>;

export const sensor = z.strictObject({
  id,
  name: z.string().max(60).optional(),
  topic: z.string().min(1).max(200),
  decoder: decoderName,
  /** RFC 6901 pointer to the sensor's own time: epoch s, epoch ms or ISO 8601. */
  timePointer: z.string().optional(),
  everyS: z.number().min(1).max(86_400).default(60),
  /** What passes its messages on (a radio gateway, a hub), where several sensors share one. */
  gateway: id.optional(),
  /** Room id or shelf id where it hangs, or `outside`. */
  at: z.string(),
  /** Its probe stands in a bag of this batch on that shelf, since an instant if it stood elsewhere before. */
  inBag: z
    .strictObject({
      batch: z.string().min(1).max(40),
      from: z.union([z.iso.date(), z.iso.datetime({ offset: true })]).optional(),
    })
    .optional(),
  /** Its probe is put into hot loads of its room: a load declared there is followed by it unless another is named. */
  inLoads: z.boolean().optional(),
  channels: z.array(sensorChannel).min(1),
});
export type Sensor = z.infer<typeof sensor>;

export const container = z.strictObject({
  id,
  name: z.string().max(60),
  kind: z.enum(['bag', 'jar', 'block']),
  /** Shape for heat: a cylinder needs diameter and height, a brick three edges. */
  shape: z.discriminatedUnion('form', [
    z.strictObject({
      form: z.literal('cylinder'),
      diameterM: z.number().positive().max(1),
      heightM: z.number().positive().max(1),
    }),
    z.strictObject({
      form: z.literal('brick'),
      widthM: z.number().positive().max(1),
      depthM: z.number().positive().max(1),
      heightM: z.number().positive().max(1),
    }),
  ]),
  massKg: z.number().positive().max(50),
  volumeL: z.number().positive().max(50),
  /** Water share of the wet mass. */
  moisture: z.number().min(0.2).max(0.9).default(0.5),
  /** Hard containers and blocks are not shaken. */
  shakeable: z.boolean().default(true),
});
export type Container = z.infer<typeof container>;

/** One species: cardinal temperatures [°C], growth on grain at the optimum [mm/d], lag [d], core limits [°C]. */
export const species = z.strictObject({
  id,
  name: z.string().min(1).max(60),
  latin: z.string().min(1).max(80),
  tMinC: temperatureC,
  tOptC: temperatureC,
  tMaxC: temperatureC,
  rateMmPerDay: z.number().positive().max(30),
  lagDays: z.number().min(0).max(30),
  warmLimitC: temperatureC,
  heatLimitC: temperatureC,
  coldLimitC: temperatureC.optional(),
  /** Another form of temperature response than the cardinal one of the three temperatures. */
  response: responseSpec.optional(),
  /** Fruits on the grain itself if left. */
  pinsOnGrain: z.boolean(),
  /** Days at the optimum from inoculation until it should be used. */
  useWithinDays: z.number().positive().max(365),
  /** What each number rests on; a key that is missing is assumed. */
  support: z.record(z.string(), z.string()).default({}),
});
export type Species = z.infer<typeof species>;

export const strain = z.strictObject({
  id,
  name: z.string().min(1).max(60),
  species: id,
  /** Rate relative to the species' (1 = as the species); strains differ by a factor of two. */
  rateFactor: z.number().min(0.2).max(5).default(1),
  lagDays: z.number().min(0).max(30).optional(),
  /** This strain's own temperature response, as `shelfwarden fit` writes it; left out: the species'. */
  response: responseSpec.optional(),
});
export type Strain = z.infer<typeof strain>;

const secret = {
  userEnv: z.string().optional(),
  passwordEnv: z.string().optional(),
  passwordFile: z.string().optional(),
};

const broker = z.union([
  z.strictObject({
    embedded: z.strictObject({
      port: z.number().int().min(0).max(65_535).default(1883),
      /** Where it listens; sensors elsewhere need an address that they can reach. */
      host: z.string().min(1).max(100).default('127.0.0.1'),
      tls: certificateFiles.optional(),
    }),
  }),
  z.strictObject({
    url: z.string().regex(/^(mqtts?):\/\/.+/, 'mqtt://host[:port] or mqtts://host[:port]'),
    clientId: z.string().max(60).optional(),
    ...secret,
    caFile: z.string().optional(),
    certFile: z.string().optional(),
    keyFile: z.string().optional(),
  }),
]);

const mail = z.strictObject({
  host: z.string(),
  port: z.number().int().min(1).max(65_535),
  /** TLS from the first byte (usually port 465); otherwise STARTTLS when the server offers it. */
  secure: z.boolean().default(false),
  /** Whether STARTTLS must be; left out: where a password goes to another machine. */
  tls: z.enum(['required', 'offered']).optional(),
  /** PEM file of the authority, or of the certificate itself, when no public one vouches for the server. */
  caFile: z.string().optional(),
  from: z.string(),
  ...secret,
});
export type MailSettings = z.infer<typeof mail>;

const influx = z.strictObject({
  url: z.url(),
  /** InfluxDB 1.x database, or org and bucket of 2.x. */
  database: z.string().optional(),
  org: z.string().optional(),
  bucket: z.string().optional(),
  tokenEnv: z.string().optional(),
  /** Readable by its owner only, as every file that holds a secret. */
  tokenFile: z.string().optional(),
});
export type InfluxSettings = z.infer<typeof influx>;

/** The whole farm file. Structure only: what happens is events, and secrets are named, never written. */
export const farmFile = z.strictObject({
  site: z.strictObject({
    id,
    name: z.string().min(1).max(60),
    timeZone: z.string(),
    /** Where phones open the screens, `http://farm-box.lan:8420`: links in messages begin with it. */
    address: z
      .string()
      .regex(/^https?:\/\/[^/\s?#]+$/, 'http:// or https:// with a host, without a path')
      .optional(),
  }),
  screens: screens.default({ trustedProxies: [], names: [] }),
  rooms: z.array(room).min(1),
  sensors: z.array(sensor).default([]),
  containers: z.array(container).default([]),
  /** Added to the built-in species, or replacing one of the same id whole. */
  species: z.array(species).default([]),
  strains: z.array(strain).default([]),
  people: z.array(person).default([]),
  /** Ids of people who get alarm messages at once; short for a default route of one step. */
  notify: z.array(id).default([]),
  routes: z.array(route).default([]),
  webhooks: z.array(webhook).default([]),
  /** Hosts in a private network that webhooks and the heartbeat may go to. */
  privateHosts: z.array(z.string().min(1).max(253)).default([]),
  announce: announce.optional(),
  digest: digest.optional(),
  heartbeat: heartbeat.optional(),
  /** Hot loads: a core below this takes spawn without harm [°C]. */
  unloads: z
    .strictObject({ inoculateBelowC: z.number().min(10).max(45).default(27) })
    .default({ inoculateBelowC: 27 }),
  generations: z.strictObject({ limit: generation.default('G3') }).default({ limit: 'G3' }),
  broker: broker.optional(),
  mail: mail.optional(),
  influx: influx.optional(),
  store: z
    .strictObject({
      rawDays: z.number().int().min(1).max(3650).default(90),
      /** FULL keeps acknowledged readings through a power cut; NORMAL is faster and may lose the last second. */
      synchronous: z.enum(['FULL', 'NORMAL']).default('FULL'),
      backupFolder: z.string().optional(),
    })
    .default({ rawDays: 90, synchronous: 'FULL' }),
});
export type FarmFile = z.infer<typeof farmFile>;
export type FarmFileInput = z.input<typeof farmFile>;
