import { z } from 'zod';

/** The schema inside defaults, optionals, pipes and preprocessing: what a value must be when it is given. */
export function bare(schema: z.ZodType): z.ZodType {
  let inner = schema;
  for (;;) {
    if (
      inner instanceof z.ZodDefault ||
      inner instanceof z.ZodPrefault ||
      inner instanceof z.ZodOptional ||
      inner instanceof z.ZodNullable ||
      inner instanceof z.ZodReadonly
    )
      inner = inner.unwrap() as z.ZodType;
    else if (inner instanceof z.ZodPipe)
      inner = (inner.in instanceof z.ZodTransform ? inner.out : inner.in) as z.ZodType;
    else return inner;
  }
}

/** Keys that a group may have; for a choice between groups, of all of them. */
export function keysOf(schema: z.ZodType): string[] {
  const inner = bare(schema);
  if (inner instanceof z.ZodObject) return Object.keys(inner.shape);
  if (inner instanceof z.ZodUnion)
    return [...new Set((inner.options as z.ZodType[]).flatMap((option) => keysOf(option)))];
  return [];
}

type Checked = { _zod: { def: { checks?: readonly z.core.$ZodCheck[] | undefined } } };

const exclusive = (schema: Checked, bound: number): boolean =>
  (schema._zod.def.checks ?? []).some(({ _zod: { def } }) => {
    const check = def as { check: string; value?: unknown; inclusive?: boolean };
    return check.check === 'greater_than' && check.inclusive === false && check.value === bound;
  });

const limited = (bound: number | null): number | null =>
  bound === null || Math.abs(bound) >= Number.MAX_SAFE_INTEGER ? null : bound;

function numberWords(schema: z.ZodNumber): string {
  const kind = schema.isInt ? 'a whole number' : 'a number';
  const low = limited(schema.minValue);
  const high = limited(schema.maxValue);
  if (low === null) return high === null ? kind : `${kind}, at most ${high}`;
  if (exclusive(schema, low))
    return high === null ? `${kind} above ${low}` : `${kind} above ${low}, at most ${high}`;
  return high === null ? `${kind}, at least ${low}` : `${kind} from ${low} to ${high}`;
}

function textWords({ minLength, maxLength }: { minLength: number | null; maxLength: number | null }): string {
  if (minLength === 1 && maxLength === null) return 'text, not empty';
  if (maxLength === null) return minLength === null ? 'text' : `text of at least ${minLength} characters`;
  return minLength === null
    ? `text of at most ${maxLength} characters`
    : `text of ${minLength} to ${maxLength} characters`;
}

function listWords(schema: z.ZodArray & Checked): string {
  for (const { _zod } of schema._zod.def.checks ?? []) {
    const check = _zod.def as { check: string; minimum?: number };
    if (check.check === 'min_length') return `a list of at least ${check.minimum}`;
  }
  return 'a list';
}

const formatWords: Record<string, string> = {
  date: 'a date as YYYY-MM-DD',
  email: 'an email address as name@example.org',
  url: 'a full address as http://host:port',
};

/** What a schema asks for, in words that finish the sentence 'wanted ...'. */
export function describeSchema(schema: z.ZodType): string {
  const inner = bare(schema);
  if (inner instanceof z.ZodEnum) return `one of ${inner.options.join(', ')}`;
  if (inner instanceof z.ZodLiteral) return [...inner.values].map(String).join(' or ');
  if (inner instanceof z.ZodNumber) return numberWords(inner);
  if (inner instanceof z.ZodBoolean) return 'true or false';
  if (inner instanceof z.ZodStringFormat)
    return formatWords[inner._zod.def.format] ?? 'text in the right form';
  if (inner instanceof z.ZodString) return textWords(inner);
  if (inner instanceof z.ZodTuple) return `a list of ${inner._zod.def.items.length}`;
  if (inner instanceof z.ZodArray) return listWords(inner);
  if (inner instanceof z.ZodRecord) return 'a group of keys and values';
  const keys = keysOf(inner);
  if (keys.length > 0) return `a group of keys (${keys.join(', ')})`;
  if (inner instanceof z.ZodUnion)
    return (inner.options as z.ZodType[]).map((option) => describeSchema(option)).join(' or ');
  return 'another kind of value';
}
