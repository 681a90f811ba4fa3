import { z } from 'zod';
import { unloadEvents, unloadSummary } from '../unloads.ts';
import { siteName } from './sites.ts';

export const unloadParams = z.strictObject({ site: siteName, id: z.string().min(1).max(64) });
export const roomParams = z.strictObject({ site: siteName, id: z.string().min(1).max(40) });

/** What a person may say of an unload: all that happens to one, but the questions that the site itself asks. */
export const unloadAct = z.discriminatedUnion('kind', [
  unloadEvents.scheduled,
  unloadEvents.begun,
  unloadEvents.measured,
  unloadEvents.ended.extend({ because: z.literal('hand') }),
  unloadEvents.withdrawn,
  unloadEvents.denied,
  unloadEvents.probed,
]);
export type UnloadAct = z.infer<typeof unloadAct>;

/** Newest first. */
export const unloadList = z.array(unloadSummary);
