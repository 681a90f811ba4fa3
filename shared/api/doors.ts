import { z } from 'zod';
import { accessActs, role, scope } from '../doors.ts';
import { instant } from '../instant.ts';
import { queryNumber } from './sites.ts';

const id = z.string().regex(/^[\w-]{16}$/, 'an id as the list gives it');
export const idParams = z.strictObject({ id });
/** Long passwords are refused by their own rule with words; this only bounds the work. */
const password = z.string().min(1).max(1_000);
const personName = z.string().min(1).max(200);
const name = z.string().trim().min(1).max(60);

/** How the doors stand, for whoever asks. */
export const entry = z.object({
  /** Nobody needs to sign in: the demo on this machine. */
  open: z.boolean(),
  /** Whether the first person exists. */
  setUp: z.boolean(),
  /** Whether setting up from here takes the code of the console. */
  needsCode: z.boolean(),
  me: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('nobody') }),
    z.object({ kind: z.literal('demo') }),
    z.object({ kind: z.literal('person'), name: z.string(), role }),
    z.object({
      kind: z.literal('wall'),
      name: z.string(),
      rooms: z.array(z.string()).nullable(),
      mayAcknowledge: z.boolean(),
    }),
    z.object({ kind: z.literal('script'), name: z.string(), scopes: z.array(scope) }),
  ]),
});
export type Entry = z.infer<typeof entry>;

export const setUp = z.strictObject({ name: personName, password, code: z.string().max(40).optional() });
export const signIn = z.strictObject({ name: personName, password });
export const join = z.strictObject({ link: z.string().min(1).max(200), password });
export const newPassword = z.strictObject({ current: password, next: password });
export const nothing = z.strictObject({});
export const done = z.object({ done: z.literal(true) });

export const personView = z.object({
  id: z.string(),
  name: z.string(),
  role,
  createdAt: z.number(),
  disabledAt: z.number().nullable(),
  hasPassword: z.boolean(),
});
export const people = z.array(personView);
export const addPerson = z.strictObject({ name: personName, role });
export const changePerson = z
  .strictObject({ name: personName, role, disabled: z.boolean() })
  .partial()
  .refine((change) => Object.keys(change).length > 0, 'name, role or disabled');
/** The link is shown once; it works once, for three days. */
export const invited = z.object({ person: personView, link: z.string(), expiresAt: z.number() });

export const sessionViews = z.array(
  z.object({
    id: z.string(),
    createdAt: z.number(),
    seenAt: z.number(),
    address: z.string(),
    device: z.string(),
    here: z.boolean(),
  }),
);

/** What changed how one enters, newest first. */
export const accessChanges = z.array(
  z.object({ act: z.enum(accessActs), who: z.string(), address: z.string(), t: z.number() }),
);

const wallSettings = {
  name,
  /** Ids of the rooms it may show; null for all. */
  rooms: z.array(z.string().min(1).max(40)).min(1).max(50).nullable(),
  mayAcknowledge: z.boolean(),
};
export const askedPairing = z.object({ code: z.string(), device: z.string(), expiresAt: z.number() });
export const claimPairing = z.strictObject({ device: z.string().min(1).max(100) });
export const claimed = z.object({ paired: z.boolean() });
export const pairWall = z.strictObject({ code: z.string().min(8).max(20), ...wallSettings });
export const changeWall = z.strictObject(wallSettings);
export const wallView = z.object({
  id: z.string(),
  name: z.string(),
  rooms: z.array(z.string()).nullable(),
  mayAcknowledge: z.boolean(),
  pairedBy: z.string(),
  pairedAt: z.number(),
  lastSeenAt: z.number().nullable(),
  /** Where it was seen within a day. */
  addresses: z.array(z.string()),
});
export const walls = z.array(wallView);

export const scriptView = z.object({
  id: z.string(),
  name: z.string(),
  scopes: z.array(scope),
  madeBy: z.string(),
  madeAt: z.number(),
  expiresAt: z.number(),
  usedAt: z.number().nullable(),
});
export const scripts = z.array(scriptView);
export const makeScript = z.strictObject({
  name,
  scopes: z.array(scope).min(1).max(3),
  days: z.number().int().min(1).max(366),
});
/** The key is shown once. */
export const madeScript = z.object({ key: z.string(), script: scriptView });

const deviceName = z.string().regex(/^[a-z0-9][a-z0-9_-]{0,39}$/, 'small letters, digits, - and _');
const deviceTopic = z
  .string()
  .min(1)
  .max(100)
  .regex(/^[^+#$/\s][^+#\s]*[^+#/\s]$|^[^+#$/\s]$/, 'a topic without + and #, such as sensors/warm');
const deviceView = z.object({
  id: z.string(),
  name: z.string(),
  topic: z.string(),
  hears: z.boolean(),
  madeBy: z.string(),
  madeAt: z.number(),
  seenAt: z.number().nullable(),
});
/** Where the built-in broker listens; null where the farm has a broker of its own. */
export const devices = z.object({
  broker: z.object({ host: z.string(), port: z.number(), tls: z.boolean() }).nullable(),
  /** Topics that a light or a horn may hear. */
  alarmTopics: z.string(),
  list: z.array(deviceView),
});
export const makeDevice = z.strictObject({ name: deviceName, topic: deviceTopic, hears: z.boolean() });
/** The password is shown once. */
export const madeDevice = z.object({ password: z.string(), device: deviceView });

export const doorQuery = z.strictObject({
  from: queryNumber(instant.optional()),
  to: queryNumber(instant.optional()),
  who: z.string().min(1).max(80).optional(),
  act: z.string().min(1).max(60).optional(),
  beforeSeq: queryNumber(z.number().int().min(1).optional()),
  limit: queryNumber(z.number().int().min(1).max(1_000).default(200)),
});
const doorEntry = z.object({
  seq: z.number(),
  t: z.number(),
  who: z.string(),
  via: z.string(),
  address: z.string(),
  act: z.string(),
  subject: z.string(),
  before: z.unknown(),
  after: z.unknown(),
});
export const doorLines = z.object({
  /** The first line that does not follow from the one before it; null when the chain is whole. */
  firstBreak: z.number().nullable(),
  lines: z.array(doorEntry),
});
