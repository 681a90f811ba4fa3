import { z } from 'zod';
import { instant } from './instant.ts';

/** How a batch got its mycelium; decides the number of growth points (see growth/). */
export const inoculation = z.discriminatedUnion('way', [
  z.strictObject({
    way: z.literal('grain-to-grain'),
    /** One part spawn to this many parts fresh grain by volume: 10 means 1:10. */
    partsPerSpawn: z.number().min(1).max(100),
  }),
  z.strictObject({ way: z.literal('agar-wedges'), pieces: z.number().int().min(1).max(200) }),
  z.strictObject({ way: z.literal('liquid-culture'), volumeMl: z.number().min(0.1).max(1000) }),
]);
export type Inoculation = z.infer<typeof inoculation>;
export const inoculationWay = z.enum(['grain-to-grain', 'agar-wedges', 'liquid-culture']);
export type InoculationWay = z.infer<typeof inoculationWay>;

/** G1: first grain from plate or liquid culture. G2: grain from G1. block: sawdust production block. */
export const generation = z.enum(['G1', 'G2', 'G3', 'block']);
export type Generation = z.infer<typeof generation>;

const common = {
  /** Chosen by whoever records it, so that sending twice records once. */
  id: z.string().min(8).max(64),
  /** When it happened. */
  t: instant,
  who: z.string().min(1).max(80),
  batch: z.string().min(1).max(40),
};
/** Numbers of the bags concerned, from 1; absent means all that still stand. */
const bags = z.array(z.number().int().min(1).max(999)).min(1).optional();

export const bagEvent = z.discriminatedUnion('kind', [
  z.strictObject({
    ...common,
    kind: z.literal('made'),
    strain: z.string(),
    container: z.string(),
    count: z.number().int().min(1).max(999),
    generation,
    inoculation,
    /** Batch, and where known the bag, that it was poured from. */
    parent: z.strictObject({ batch: z.string(), bag: z.number().int().min(1).optional() }).optional(),
  }),
  z.strictObject({ ...common, kind: z.literal('placed'), bags, shelf: z.string() }),
  z.strictObject({ ...common, kind: z.literal('moved'), bags, shelf: z.string() }),
  /** `share` is what the eye judged colonized, 0 (nothing yet) to 1 (full). */
  z.strictObject({ ...common, kind: z.literal('checked'), bags, share: z.number().min(0).max(1) }),
  z.strictObject({ ...common, kind: z.literal('shaken'), bags }),
  z.strictObject({ ...common, kind: z.literal('used'), bags, purpose: z.string().max(200).optional() }),
  z.strictObject({ ...common, kind: z.literal('discarded'), bags, reason: z.string().min(1).max(200) }),
  z.strictObject({ ...common, kind: z.literal('noted'), bags, text: z.string().min(1).max(500) }),
  /** Takes an earlier event of the same batch back; the event itself stays in the log. */
  z.strictObject({ ...common, kind: z.literal('undone'), event: z.string() }),
]);
export type BagEvent = z.infer<typeof bagEvent>;
export type BagEventKind = BagEvent['kind'];
export type EventOf<K extends BagEventKind> = Extract<BagEvent, { kind: K }>;
