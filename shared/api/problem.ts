import { z } from 'zod';

/** One field of a request that cannot be used. */
const fieldProblem = z.object({
  /** Where: JSON Pointer into the body as a URI fragment (`#/share`), or the parameter's name. */
  pointer: z.string(),
  /** What, in one sentence with how to mend it. */
  detail: z.string(),
  found: z.string(),
  wanted: z.string(),
  mend: z.string(),
});
export type FieldProblem = z.infer<typeof fieldProblem>;

/** Problem details, RFC 9457, of every answer that is not a success. */
export const problemDetails = z.object({
  /** Always `about:blank`: the status says the kind, `code` says it more closely. */
  type: z.literal('about:blank'),
  title: z.string(),
  status: z.number().int(),
  /** What is wrong and how to mend it, fit for a person. */
  detail: z.string(),
  /** Stable word for programs, for example `not-found`, `conflict`, `too-many`. */
  code: z.string(),
  /** Path of the request. */
  instance: z.string(),
  /** Every field that is wrong, where the request itself was. */
  errors: z.array(fieldProblem).optional(),
});
export type ProblemDetails = z.infer<typeof problemDetails>;
