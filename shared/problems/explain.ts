import { z } from 'zod';
import { bare, describeSchema, keysOf } from './describe.ts';
import { nearest } from './nearest.ts';
import { keysFor, likelyOption, type Path, schemaAt, valueAt } from './walk.ts';

/** One thing wrong with a value, in words: what was found, what is wanted, how to mend it. */
export interface Finding {
  path: Path;
  /** Whether the value, its key, or the group that lacks it is to be pointed at. */
  place: 'value' | 'key' | 'parent';
  found: string;
  wanted: string;
  mend: string;
}

/** User and password of an address, which no message may repeat. */
const access = /(?<=:\/\/)[^/?#\s]*@/g;

/** A value in a few words; long text is cut. */
export function foundWords(value: unknown): string {
  if (value === undefined || value === null) return 'nothing';
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object') return 'a group of keys';
  if (typeof value !== 'string') return String(value);
  const text = value.replace(access, '…@');
  return JSON.stringify(text.length > 60 ? `${text.slice(0, 60)}…` : text);
}

const asWanted = 'change it to what is wanted';

/** What the value is written in, which its mends must be written in too. */
export type Form = 'yaml' | 'json';

function typeMend(value: unknown, schema: z.ZodType, form: Form): string {
  const wantsNumber = schema instanceof z.ZodNumber;
  if (value === null) return 'give it a value, or remove the key';
  if (wantsNumber && typeof value === 'string') {
    const number = /^\s*[-+]?\d+(?:[.,]\d+)?/.exec(value)?.[0].trim().replace(',', '.');
    return number === undefined ? 'write a number' : `write ${number} alone, without quotes or unit`;
  }
  if (schema instanceof z.ZodString && (typeof value === 'number' || typeof value === 'boolean'))
    return `put it in quotes, ${form === 'yaml' ? `'${value}'` : `"${value}"`}`;
  if (schema instanceof z.ZodArray || schema instanceof z.ZodTuple)
    return form === 'yaml'
      ? 'make it a list, each item after a hyphen or all within [ ]'
      : 'make it a list within [ ]';
  if (keysOf(schema).length > 0)
    return form === 'yaml' ? 'write its keys indented under it' : 'send an object with these keys';
  return asWanted;
}

/** Where only spaces, capitals or accents stand in the way, the text without them. */
function plainMend(value: unknown, schema: z.ZodType | undefined): string {
  const text = String(value).normalize('NFKD').replaceAll(/\p{M}/gu, '').trim().toLowerCase();
  const plain = text.replaceAll(/[^a-z0-9]+/g, '-').replaceAll(/^-|-$/g, '');
  return schema?.safeParse(plain).success ? `write ${plain}` : asWanted;
}

function choiceMend(value: unknown, choices: readonly unknown[]): string {
  const meant = typeof value === 'string' ? nearest(value, choices.map(String)) : undefined;
  return meant === undefined ? 'choose one of them' : `write ${meant}`;
}

/** Advice for a key that belongs nowhere, instead of the usual one. */
export type KeyAdvice = (key: string, known: readonly string[]) => string | undefined;

interface Context {
  root: z.ZodType;
  raw: unknown;
  keyAdvice: KeyAdvice;
  form: Form;
  /** Missing keys that stand there misspelt; told once, at the misspelling. */
  renamed: Set<string>;
}

/**
 * Turns the issues of a failed parse into findings. In a choice of forms only the one that was most
 * likely meant is spoken of; a missing key whose misspelling stands beside it is not told twice.
 */
export function explainIssues(
  root: z.ZodType,
  raw: unknown,
  issues: readonly z.core.$ZodIssue[],
  keyAdvice: KeyAdvice = () => undefined,
  form: Form = 'yaml',
): Finding[] {
  const context: Context = { root, raw, keyAdvice, form, renamed: new Set() };
  const findings = issues
    .flatMap((issue) => explain(context, issue, []))
    .filter(({ path, place }) => place !== 'parent' || !context.renamed.has(JSON.stringify(path)));
  // A number may break two rules that are told in the same words.
  const told = new Map(findings.map((finding) => [JSON.stringify(finding), finding]));
  return [...told.values()];
}

function explain(context: Context, issue: z.core.$ZodIssue, prefix: Path): Finding[] {
  const path = [...prefix, ...(issue.path as (string | number)[])];
  if (issue.code === 'unrecognized_keys') return unknownKeys(context, path, issue.keys);
  const value = valueAt(context.raw, path);
  const ruled = schemaAt(context.root, context.raw, path);
  const schema = ruled === undefined ? undefined : bare(ruled);
  if (issue.code === 'invalid_union' && schema instanceof z.ZodUnion && isGroup(value)) {
    const chosen = issue.errors[likelyOption(schema, value)] ?? [];
    if (chosen.length > 0) return chosen.flatMap((inner) => explain(context, inner, path));
  }
  const name = String(path.at(-1) ?? '');
  const wanted = wantedOf(issue, schema);
  if (value !== undefined || path.length === 0)
    return [
      {
        path,
        place: 'value',
        found: `${name} ${foundWords(value)}`.trimStart(),
        wanted,
        mend: mendOf(issue, value, schema, context.form),
      },
    ];
  const key = context.form === 'yaml' ? `${name}: with` : `${name} with`;
  const mend = typeof path.at(-1) === 'number' ? `add ${wanted}` : `add ${key} ${wanted}`;
  return [{ path, place: 'parent', found: `no ${name}`, wanted, mend }];
}

const isGroup = (value: unknown): value is object => typeof value === 'object' && value !== null;

function unknownKeys(
  { root, raw, keyAdvice, renamed }: Context,
  path: Path,
  keys: readonly string[],
): Finding[] {
  const group = schemaAt(root, raw, path);
  const value = valueAt(raw, path);
  const known = group === undefined ? [] : keysFor(group, value);
  const missing = known.filter((key) => !isGroup(value) || !Object.hasOwn(value, key));
  return keys.map((key): Finding => {
    const advice = keyAdvice(key, known);
    const meant = advice === undefined ? nearest(key, missing) : undefined;
    if (meant !== undefined) renamed.add(JSON.stringify([...path, meant]));
    return {
      path: [...path, key],
      place: 'key',
      found: `the unknown key ${foundWords(key)}`,
      wanted: known.length > 0 ? `one of ${known.join(', ')}` : 'no such key',
      mend: advice ?? (meant === undefined ? 'remove it' : `rename it to ${meant}`),
    };
  });
}

/** The values of a choice that is told by one key, where zod names them. */
const namedChoices = (issue: z.core.$ZodIssue): readonly unknown[] | undefined =>
  issue.code === 'invalid_union' && 'options' in issue && Array.isArray(issue.options)
    ? issue.options
    : undefined;

function wantedOf(issue: z.core.$ZodIssue, schema: z.ZodType | undefined): string {
  if (issue.code === 'custom' || (issue.code === 'invalid_format' && issue.format === 'regex'))
    return issue.message;
  const choices = namedChoices(issue);
  if (choices !== undefined) return `one of ${choices.join(', ')}`;
  return schema === undefined ? issue.message : describeSchema(schema);
}

function mendOf(issue: z.core.$ZodIssue, value: unknown, schema: z.ZodType | undefined, form: Form): string {
  switch (issue.code) {
    case 'invalid_type':
      return schema === undefined ? asWanted : typeMend(value, schema, form);
    case 'invalid_value':
      return choiceMend(value, issue.values);
    case 'invalid_union':
      return choiceMend(value, namedChoices(issue) ?? []);
    case 'too_small':
      return (
        { array: 'add what is missing', string: 'write it' }[issue.origin as string] ?? 'use a larger number'
      );
    case 'too_big':
      return issue.origin === 'string' || issue.origin === 'array'
        ? 'make it shorter'
        : 'use a smaller number';
    case 'invalid_format':
      return plainMend(value, schema);
    default:
      return asWanted;
  }
}
