import { z } from 'zod';
import { runState } from '../live.ts';

/** Times real time. */
const speed = z.number().min(1).max(500);

export const trainingWeek = z.object({
  id: z.string(),
  name: z.string(),
  text: z.string(),
  days: z.number(),
});

export const startTraining = z.strictObject({ week: z.string().min(1).max(60), speed: speed.default(60) });
export const changeSpeed = z.strictObject({ speed });
export const changePause = z.strictObject({ paused: z.boolean() });
export const stopTraining = z.strictObject({});

/** The run as it stands after the change; null when none is open. */
export const trainingState = z.object({ run: runState.nullable() });

/** What happened in the run and when it was seen, oldest first. */
export const trainingReport = z.array(
  z.object({ t: z.number(), what: z.string(), seenAt: z.number().nullable(), seenBy: z.string().nullable() }),
);
