import { constants } from 'node:fs';
import { access, open, readFile, realpath, rename, stat, unlink } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { parse } from 'yaml';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { LimitBand, Limits, Species } from '../../shared/farm/schema.ts';
import { type Path, valueAt } from '../../shared/problems/walk.ts';
import { editList } from './edit-list.ts';
import { editYaml, type Plain, type Written } from './edit-yaml.ts';
import { loadFarmFile } from './load.ts';
import type { Problem } from './problems.ts';

/** What of a band can be set from a screen: what is one value, and its times of day. */
type Settable = {
  [K in keyof LimitBand]-?: NonNullable<LimitBand[K]> extends Plain ? K : never;
}[keyof LimitBand];

/** New values of one limit band; `null` takes a value out, so that the default holds again. */
export interface LimitEdit {
  /** Room id or shelf id. */
  at: string;
  quantity: keyof Limits;
  set: { [K in Settable | 'during']?: LimitBand[K] | null };
}

type Edit = [Path, Written | undefined];

export type WriteBack = { ok: true; text: string; farm: Farm } | { ok: false; problems: Problem[] };

/** Where the limits of a room or shelf stand in the file. */
function limitsPath(raw: unknown, at: string): Path {
  const rooms = valueAt(raw, ['rooms']) as Farm['file']['rooms'];
  for (const [r, room] of rooms.entries()) {
    if (room.id === at) return ['rooms', r, 'limits'];
    for (const [k, rack] of (room.racks ?? []).entries())
      for (const [s, shelf] of rack.shelves.entries())
        if (shelf.id === at) return ['rooms', r, 'racks', k, 'shelves', s, 'limits'];
  }
  throw new AppError('not-found', `The farm file has no room or shelf ${at}.`);
}

/**
 * The text of a sound farm file with limits changed and everything else, comments included, as it was.
 * The result has been loaded and compared: it is a sound farm that differs in these limits only, or the
 * problems that the new limits would make.
 * @throws AppError 'not-found' for an unknown room or shelf, 'conflict' where the file's own form (an
 * anchor that several places share) does not allow the change.
 */
export function editLimits(
  text: string,
  fileName: string,
  { at, quantity, set }: LimitEdit,
  builtInSpecies: readonly Species[],
): WriteBack {
  const raw = parse(text);
  const path = [...limitsPath(raw, at), quantity];
  const edits = Object.entries(set).map(([key, value]): Edit => [[...path, key], value ?? undefined]);
  // What is added first keeps a group from vanishing with what is taken out.
  edits.sort(([, a], [, b]) => Number(a === undefined) - Number(b === undefined));
  const edited = edits.reduce((before, [place, value]) => {
    const old = valueAt(raw, place);
    const isList = isGroups(old) && isGroups(value);
    return isList ? editList(before, place, old, value) : editYaml(before, place, value);
  }, text);
  const load = loadFarmFile(edited, fileName, builtInSpecies);
  if (!load.ok) return load;
  if (!differsOnlyAt(path, text, edited, edits))
    throw new AppError(
      'conflict',
      `${at} shares its limits with other places (& and *); write them out in ${fileName} first.`,
    );
  return { ok: true, text: edited, farm: load.farm };
}

/** A list of groups, such as times of day: its items are kept apart, so that what is said beside them stays. */
const isGroups = (value: unknown): value is { readonly [key: string]: Written }[] =>
  Array.isArray(value) &&
  value.length > 0 &&
  value.every((item) => typeof item === 'object' && item !== null);

/** Plain values in which nothing is shared, as an anchor and its aliases are at first. */
const plainOf = (text: string): unknown => JSON.parse(JSON.stringify(parse(text)));

/** Whether the edit did what it should and nothing besides, by the plain values of both texts. */
function differsOnlyAt(path: Path, before: string, after: string, edits: Edit[]): boolean {
  const [old, now] = [plainOf(before), plainOf(after)];
  if (edits.some(([place, value]) => !isDeepStrictEqual(valueAt(now, place), value))) return false;
  for (const root of [old, now]) withoutEdited(root, path, edits);
  return isDeepStrictEqual(old, now);
}

/** Takes out what was edited, and groups that are empty without it. */
function withoutEdited(root: unknown, path: Path, edits: Edit[]): void {
  const band = valueAt(root, path);
  if (typeof band === 'object' && band !== null)
    for (const [place] of edits) Reflect.deleteProperty(band, place.at(-1)!);
  for (let depth = path.length; depth > path.length - 2; depth--) {
    const group = valueAt(root, path.slice(0, depth)) ?? {};
    const holder = valueAt(root, path.slice(0, depth - 1));
    if (Object.keys(group).length === 0 && typeof holder === 'object' && holder !== null)
      Reflect.deleteProperty(holder, path[depth - 1]!);
  }
}

/**
 * Changes limits in the farm file itself: whole or not at all, even if the power goes. `runningText` is the
 * text that the running farm was loaded from.
 * @throws AppError as `editLimits`, 'conflict' when the file was changed by hand meanwhile, 'store' when it
 * cannot be written.
 */
export async function writeLimits(
  path: string,
  runningText: string,
  edit: LimitEdit,
  builtInSpecies: readonly Species[],
): Promise<WriteBack> {
  const name = basename(path);
  const text = await readFile(path, 'utf8').catch((cause) => {
    throw new AppError('store', `${name} cannot be read: ${messageOf(cause)}.`, { cause });
  });
  if (text !== runningText)
    throw new AppError(
      'conflict',
      `${name} was changed by hand and is not running yet; mend or reload it first.`,
    );
  const result = editLimits(text, name, edit, builtInSpecies);
  if (result.ok && result.text !== text) await replaceFile(path, result.text);
  return result;
}

/** Writes beside the file and renames over it, so that a reader sees the old text or the new one. */
async function replaceFile(path: string, text: string): Promise<void> {
  const target = await realpath(path);
  const beside = join(dirname(target), `.${basename(target)}.new`);
  try {
    await access(target, constants.W_OK);
    const { mode } = await stat(target);
    const file = await open(beside, 'w', mode);
    try {
      await file.writeFile(text);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(beside, target);
  } catch (cause) {
    await unlink(beside).catch(() => {});
    throw new AppError(
      'store',
      `${basename(path)} cannot be written: ${messageOf(cause)}. It is as it was.`,
      { cause },
    );
  }
}
