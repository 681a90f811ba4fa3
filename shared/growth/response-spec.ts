import { z } from 'zod';
import { exponentLimits, temperatureLimitsC } from './response-limits.ts';

const t = z.number().min(temperatureLimitsC.low).max(temperatureLimitsC.high);

/** How far above the upper threshold growth goes on: at the full rate, not at all, or falling as it rose. */
export const cutoff = z.enum(['horizontal', 'vertical', 'intermediate']);
export type Cutoff = z.infer<typeof cutoff>;

/** A temperature response and its parameters, all in °C except the exponent. */
export const responseSpec = z.discriminatedUnion('form', [
  z.strictObject({ form: z.literal('cardinal'), tMinC: t, tOptC: t, tMaxC: t }),
  z.strictObject({ form: z.literal('beta'), tMinC: t, tOptC: t, tMaxC: t }),
  z.strictObject({ form: z.literal('briere1'), tMinC: t, tMaxC: t }),
  z.strictObject({
    form: z.literal('briere2'),
    tMinC: t,
    tMaxC: t,
    exponent: z.number().min(exponentLimits.low).max(exponentLimits.high),
  }),
  z.strictObject({ form: z.literal('linear'), lowerC: t, upperC: t, cutoff }),
]);
export type ResponseSpec = z.infer<typeof responseSpec>;
export type ResponseForm = ResponseSpec['form'];
