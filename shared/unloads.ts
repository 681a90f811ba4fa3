import { z } from 'zod';
import { band, instantInterval } from './forecasts.ts';
import { instant } from './instant.ts';

/** Containers straight from the sterilizer that cool in a room. */
export const hotLoad = z.strictObject({
  /** Container id of the farm file. */
  container: z.string().min(1).max(40),
  count: z.number().int().min(1).max(999),
  /** Core at unloading [°C], as measured; null: assumed from the cycle, near 100. */
  startC: z.number().min(-10).max(125).nullable(),
});
export type HotLoad = z.infer<typeof hotLoad>;

/** What may be done for the room besides waiting. */
export const unloadOptions = z.strictObject({
  /** A fan blows at the load. */
  fan: z.boolean(),
  /** Cooling that is brought in besides the room's own [W]. */
  extraCoolingW: z.number().min(0).max(50_000),
});
export type UnloadOptions = z.infer<typeof unloadOptions>;

/** A question to the planner. */
export const unloadQuestion = z.strictObject({
  room: z.string(),
  load: hotLoad,
  /** Null: now. */
  at: instant.nullable(),
  options: unloadOptions,
});
export type UnloadQuestion = z.infer<typeof unloadQuestion>;

/** A point of a curve that is expected, 10, 50 and 90 %. */
export const expectedPoint = z.object({ t: z.number(), value: band });
export type ExpectedPoint = z.infer<typeof expectedPoint>;

/** What an unload would do, or was expected to do when it began. */
export const unloadPlan = z.object({
  room: z.string(),
  load: hotLoad,
  at: z.number(),
  options: unloadOptions,
  /** Room air before the load comes in [°C]. */
  beforeC: z.number(),
  peak: z.object({ tempC: band, at: instantInterval }),
  /** What is told as likely of air, core and peak; plans of before tell nothing: theirs was the middle of all cases. */
  likelyIs: z.literal('likeliest-course').optional(),
  /** Room air from `at` until all is over [°C]. */
  air: z.array(expectedPoint),
  /** Core of the load [°C], from `at`. */
  core: z.array(expectedPoint),
  /** Each limit of the room that the air may pass, and for how long [min]. */
  limits: z.array(z.object({ name: z.string(), limitC: z.number(), minutes: band })),
  /** Cohorts in the room, the most exposed first. */
  cohorts: z.array(
    z.object({
      cohort: z.string(),
      batch: z.string(),
      shelf: z.string(),
      /** Warmest that its core gets [°C]. */
      peakC: band,
      /** Exposure in memory, in shares of what it stands: before, and at its highest after. */
      before: z.number(),
      after: band,
      /** It passes what it stands, likely enough to matter. */
      over: z.boolean(),
    }),
  ),
  /** When the load's core meets the inoculation temperature; null when it never does within the horizon. */
  inoculateAt: instantInterval.nullable(),
  inoculateBelowC: z.number(),
  /** Its surface [°C] as it comes in, and when it falls below the handling caution. */
  surface: z.object({ startC: z.number(), cautionC: z.number(), safeAt: z.number().nullable() }),
  /** When the room is back near where it was; null when not within the horizon. */
  overAt: instantInterval.nullable(),
  advice: z.object({
    /** Everything asked for may come in at once without a cohort, or the room, past its limit. */
    fits: z.boolean(),
    /** The most containers at once that keep every cohort under its limit, and what stands in the way of more. */
    largest: z.object({ count: z.number(), limitedBy: z.string() }),
    /** The same load in parts; null when it fits, or when no split within a day does. */
    split: z.array(z.object({ count: z.number(), at: z.number() })).nullable(),
    /** A better hour within a day for all at once; null when none is. */
    betterAt: z.number().nullable(),
    /** Racks to move out so that it fits; empty when none need to, null when that does not help. */
    moveOut: z.array(z.string()).nullable(),
  }),
  /** What speaks against the whole of it, as an alarm of the room's cooling, in words; plans of before tell none. */
  doubts: z.array(z.string()).optional(),
  /** Everything that was assumed, in words. */
  assumed: z.array(z.string()),
});
export type UnloadPlan = z.infer<typeof unloadPlan>;

const common = {
  /** Chosen by whoever records it, so that sending twice records once. */
  id: z.string().min(8).max(64),
  /** When it happened. */
  t: instant,
  who: z.string().min(1).max(80),
  /** Names the unload in all its events. */
  unload: z.string().min(4).max(64),
};

/** What may happen to an unload, by kind. */
export const unloadEvents = {
  /** It is to come at a certain time: forecasts count on it. */
  scheduled: z.strictObject({
    ...common,
    kind: z.literal('scheduled'),
    room: z.string(),
    load: hotLoad,
    at: instant,
    options: unloadOptions,
  }),
  /** The load stands in the room since `t`. */
  begun: z.strictObject({
    ...common,
    kind: z.literal('begun'),
    room: z.string(),
    load: hotLoad,
    options: unloadOptions,
    /** Channel of a probe that stands in it; null: none. Left out: the one that the farm file has for loads there. */
    probe: z.string().min(1).max(80).nullable().optional(),
  }),
  /** A thermometer held into or onto the load. */
  measured: z.strictObject({
    ...common,
    kind: z.literal('measured'),
    where: z.enum(['core', 'surface']),
    tempC: z.number().min(-10).max(130),
  }),
  ended: z.strictObject({ ...common, kind: z.literal('ended'), because: z.enum(['hand', 'itself']) }),
  /** It was a mistake, or did not take place. */
  withdrawn: z.strictObject({ ...common, kind: z.literal('withdrawn') }),
  /** The room's air speaks of one that nobody declared; `at` is when it seems to have begun. */
  asked: z.strictObject({
    ...common,
    kind: z.literal('asked'),
    room: z.string(),
    at: instant,
    why: z.string().max(300),
    /** A cooler that gives little or nothing would look the same; no unless given. */
    orStopped: z.boolean().optional(),
  }),
  /** The answer to that question: no, it was something else. Yes is a `begun` of the same unload. */
  denied: z.strictObject({
    ...common,
    kind: z.literal('denied'),
    /** What spoke against it, where nobody answered and the room's later course did. */
    why: z.string().max(300).optional(),
  }),
  /** From `t` on the probe of this channel stands in it; null: none does any more. */
  probed: z.strictObject({
    ...common,
    kind: z.literal('probed'),
    channel: z.string().min(1).max(80).nullable(),
  }),
} as const;

/** What happened to an unload; append-only, as bag events are. */
export const unloadEvent = z.discriminatedUnion('kind', [
  unloadEvents.scheduled,
  unloadEvents.begun,
  unloadEvents.measured,
  unloadEvents.ended,
  unloadEvents.withdrawn,
  unloadEvents.asked,
  unloadEvents.denied,
  unloadEvents.probed,
]);
export type UnloadEvent = z.infer<typeof unloadEvent>;
export type UnloadEventKind = UnloadEvent['kind'];
export type UnloadEventOf<K extends UnloadEventKind> = Extract<UnloadEvent, { kind: K }>;

/** An unload nobody declared that the room's air speaks of; asked about until somebody answers. */
export const unloadGuess = z.object({
  /** Id of the unload if it was one. */
  id: z.string(),
  room: z.string(),
  /** When it seems to have begun, and when it was asked. */
  at: z.number(),
  askedAt: z.number(),
  /** Why it looks like one, in words. */
  why: z.string(),
});
export type UnloadGuess = z.infer<typeof unloadGuess>;

export const unloadStage = z.enum(['scheduled', 'underway', 'ended', 'withdrawn']);
export type UnloadStage = z.infer<typeof unloadStage>;

/** A probe that stands in a load, and whether the load is followed by it. */
export const unloadProbe = z.object({
  channel: z.string(),
  /** What it told last [°C], and when; null: nothing since it was put in. */
  tempC: z.number().nullable(),
  at: z.number().nullable(),
  /**
   * `heard`: it counts. `settling`: it is still warming up. `silent`: it tells nothing. `aside`: what it tells is
   * not of this load.
   */
  state: z.enum(['heard', 'settling', 'silent', 'aside']),
});
export type UnloadProbe = z.infer<typeof unloadProbe>;

/** What the load and its room are held to do now, from the plan and all that was measured since. */
export const unloadNow = z.object({
  asOf: z.number(),
  /** Room air [°C]; null while no sensor tells it. */
  airC: z.number().nullable(),
  /** How far the air is from the plan's band [K]: above it positive, below negative, inside 0; null: not known yet. */
  beyondK: z.number().nullable(),
  coreC: band,
  /** Core since it came in and ahead until it is cool [°C], by all that was measured; every quarter of an hour. */
  core: z.array(expectedPoint),
  surfaceC: z.number(),
  /** What it cools to before spawn goes in, and from where on a surface burns [°C]. */
  inoculateBelowC: z.number(),
  cautionC: z.number(),
  inoculateAt: instantInterval.nullable(),
  /** When a hand may meet it by the caution's temperature; null when it may now. */
  touchAt: z.number().nullable(),
  overAt: instantInterval.nullable(),
  /** Null while no probe stands in it. */
  probe: unloadProbe.nullable(),
  /** What does not go as planned, in words. */
  remarks: z.array(z.string()),
  /** What differs from the plan and is no trouble, in words. */
  notes: z.array(z.string()),
  /** Wet-bulb globe temperature, estimated [°C]; null where humidity is not known. */
  wbgtC: z.number().nullable(),
});
export type UnloadNow = z.infer<typeof unloadNow>;

/** What came of an unload. */
export const unloadReport = z.object({
  peakC: z.number().nullable(),
  peakAt: z.number().nullable(),
  /** Most that the plan expected, likely and high [°C], and when. */
  planned: z.object({ peakC: band, at: instantInterval }).nullable(),
  /** Exposure of cohorts while it lasted: equivalent hours gained, and the share of what they stand after. */
  cohorts: z.array(
    z.object({
      cohort: z.string(),
      batch: z.string(),
      shelf: z.string(),
      gainedHours: z.number(),
      share: z.number(),
    }),
  ),
  /** When the core met the inoculation temperature, by the last estimate. */
  inoculateAt: z.number().nullable(),
  /** What it taught of the room, in words. */
  taught: z.array(z.string()),
});
export type UnloadReport = z.infer<typeof unloadReport>;

/** An unload as its events make it. */
export const unloadView = z.object({
  id: z.string(),
  room: z.string(),
  load: hotLoad,
  options: unloadOptions,
  stage: unloadStage,
  /** When it begins or began. */
  at: z.number(),
  endedAt: z.number().nullable(),
  who: z.string(),
  /** What was expected as it began; null while it is not known, or where the room cannot be reckoned. */
  plan: unloadPlan.nullable(),
  /** Only while it is underway. */
  now: unloadNow.nullable(),
});
export type UnloadView = z.infer<typeof unloadView>;

/** Unloads as the wall and every page need them: those underway and ahead, and questions that are open. */
export const unloadsLive = z.object({ open: z.array(unloadView), guesses: z.array(unloadGuess) });
export type UnloadsLive = z.infer<typeof unloadsLive>;

/** One unload with all that is known of it. */
export const unloadDetail = z.object({
  view: unloadView,
  events: z.array(unloadEvent),
  /** Temperature channels of the room whose curves show it. */
  channels: z.array(z.string()),
  /** Channels of probes that stood in it, in turn. */
  probes: z.array(z.string()),
  report: unloadReport.nullable(),
});
export type UnloadDetail = z.infer<typeof unloadDetail>;

/** A line of the list of past unloads. */
export const unloadSummary = z.object({
  id: z.string(),
  room: z.string(),
  load: hotLoad,
  stage: unloadStage,
  at: z.number(),
  endedAt: z.number().nullable(),
  who: z.string(),
  /** Peak of the room against the likely peak of the plan [K]; null where either is not known. */
  peakErrorK: z.number().nullable(),
  /** The peak lay in the plan's 80 % band. */
  peakInBand: z.boolean().nullable(),
  peakC: z.number().nullable(),
});
export type UnloadSummary = z.infer<typeof unloadSummary>;

/** A question about an unload that was answered with no, by a person or by the room's later course. */
export const unloadDenied = unloadGuess.omit({ room: true }).extend({
  deniedAt: z.number(),
  who: z.string(),
  /** What spoke against it; null where a person said so. */
  because: z.string().nullable(),
});
export type UnloadDenied = z.infer<typeof unloadDenied>;

/** What is known of a room as a body of air and walls. */
export const roomPage = z.object({
  room: z.string(),
  /** 'loses 85 W per degree, ...'. */
  words: z.array(z.string()),
  /** Null until it was fitted: then the words speak of what was assumed. */
  learnedAt: z.number().nullable(),
  days: z.number(),
  figures: z.array(
    z.object({
      name: z.string(),
      value: z.number(),
      unit: z.string(),
      low: z.number(),
      high: z.number(),
      sure: z.boolean(),
    }),
  ),
  /** Spread of what the model leaves unexplained, hour by hour ahead [K]. */
  residualSdK: z.number().nullable(),
  notes: z.array(z.string()),
  unloads: z.array(unloadSummary),
  /** Of the last two weeks, the latest first. */
  denied: z.array(unloadDenied),
});
export type RoomPage = z.infer<typeof roomPage>;
