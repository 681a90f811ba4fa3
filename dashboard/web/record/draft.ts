import type { BagEvent, Generation, Inoculation } from '../../../shared/bags.ts';
import { readBags, writeBags } from '../../../shared/batches/bag-list.ts';
import type { BatchState } from '../../../shared/batches.ts';
import type { EpochMs } from '../../../shared/time.ts';
import { instantOf } from '../format/zoned.ts';
import { record } from '../text/record.ts';
import type { RecordKind } from './kinds.ts';

/** What is in the form, as typed. Kept as it is until it is stored. */
export interface Draft {
  kind: RecordKind;
  /** One for each event it can make; kept over tries, so that what is sent twice is stored once. */
  ids: readonly [string, string];
  batch: string;
  bags: string;
  shelf: string;
  /** Percent. */
  share: string;
  purpose: string;
  reason: string;
  text: string;
  newBatch: string;
  strain: string;
  container: string;
  count: string;
  generation: Generation;
  way: Inoculation['way'];
  amount: string;
  parent: string;
  parentBag: string;
  who: string;
  /** The site's wall clock; empty is now. */
  when: string;
}

export type DraftProblems = Partial<Record<keyof Draft, string>>;
export type DraftResult = { ok: true; events: BagEvent[] } | { ok: false; problems: DraftProblems };

interface Known {
  batches: readonly BatchState[];
  now: EpochMs;
  zone: string;
}

/** Turns the form into events, or says of every field that is wrong how to mend it. */
export function eventsOf(draft: Draft, known: Known): DraftResult {
  const problems: DraftProblems = {};
  const t = draft.when === '' ? known.now : instantOf(draft.when, known.zone);
  if (t === null) problems.when = record.problem.when;
  else if (t > known.now + 120_000) problems.when = record.problem.future;
  const who = draft.who.trim();
  if (who === '') problems.who = record.problem.who;
  const common = { id: draft.ids[0], t: Math.round(t ?? 0), who };
  const events =
    draft.kind === 'made'
      ? makingOf(draft, common, known, problems)
      : changeOf(draft, common, known, problems);
  return Object.keys(problems).length > 0 ? { ok: false, problems } : { ok: true, events };
}

type Common = Pick<BagEvent, 'id' | 't' | 'who'>;

function changeOf(draft: Draft, common: Common, { batches }: Known, problems: DraftProblems): BagEvent[] {
  const batch = batches.find(({ id }) => id === draft.batch);
  if (batch === undefined) problems.batch = record.problem.batch;
  const bags = bagsOf(draft, batch, problems);
  const about = { ...common, batch: draft.batch, ...(bags === null ? {} : { bags }) };
  const needed = (field: 'shelf' | 'reason' | 'text') => {
    if (draft[field].trim() === '') problems[field] = record.problem[field];
    return draft[field].trim();
  };
  switch (draft.kind) {
    case 'placed':
    case 'moved':
      return [{ ...about, kind: draft.kind, shelf: needed('shelf') }];
    case 'checked': {
      const percent = draft.share.trim() === '' ? Number.NaN : Number(draft.share);
      if (!(percent >= 0 && percent <= 100)) problems.share = record.problem.share;
      return [{ ...about, kind: 'checked', share: percent / 100 }];
    }
    case 'used': {
      const purpose = draft.purpose.trim();
      return [{ ...about, kind: 'used', ...(purpose === '' ? {} : { purpose }) }];
    }
    case 'discarded':
      return [{ ...about, kind: 'discarded', reason: needed('reason') }];
    case 'noted':
      return [{ ...about, kind: 'noted', text: needed('text') }];
    default:
      return [{ ...about, kind: 'shaken' }];
  }
}

/** The bags named, or null for all that stand. */
function bagsOf(draft: Draft, batch: BatchState | undefined, problems: DraftProblems): number[] | null {
  const bags = readBags(draft.bags);
  if (bags === null) {
    problems.bags = record.problem.bagList;
    return null;
  }
  const standing = batch?.cohorts.flatMap((cohort) => cohort.bags) ?? [];
  if (batch !== undefined && standing.length === 0) problems.bags = record.problem.noneStand;
  const missing = bags.filter((bag) => !standing.includes(bag));
  if (batch !== undefined && missing.length > 0)
    problems.bags = record.problem.notStanding(writeBags(missing), writeBags(standing));
  return bags.length === 0 ? null : bags;
}

function makingOf(draft: Draft, common: Common, { batches }: Known, problems: DraftProblems): BagEvent[] {
  const batch = draft.newBatch.trim();
  if (!/^[A-Za-z0-9][A-Za-z0-9-]{0,39}$/.test(batch)) problems.newBatch = record.problem.newBatch;
  else if (batches.some(({ id }) => id === batch)) problems.newBatch = record.problem.taken(batch);
  const count = wholeOf(draft.count, 1, 999);
  if (count === null) problems.count = record.problem.count;
  if (draft.strain === '') problems.strain = record.problem.strain;
  if (draft.container === '') problems.container = record.problem.container;
  const inoculation = inoculationOf(draft, problems);
  const parent = parentOf(draft, problems);
  if (inoculation === null || count === null) return [];
  const made: BagEvent = {
    ...common,
    batch,
    kind: 'made',
    strain: draft.strain,
    container: draft.container,
    count,
    generation: draft.generation,
    inoculation,
    ...(parent === null ? {} : { parent }),
  };
  if (draft.shelf === '') return [made];
  return [made, { ...common, id: draft.ids[1], batch, kind: 'placed', shelf: draft.shelf }];
}

function inoculationOf(draft: Draft, problems: DraftProblems): Inoculation | null {
  const wrong = (problem: string) => {
    problems.amount = problem;
    return null;
  };
  const amount = draft.amount.trim() === '' ? Number.NaN : Number(draft.amount.replace(',', '.'));
  switch (draft.way) {
    case 'grain-to-grain':
      return amount >= 1 && amount <= 100
        ? { way: draft.way, partsPerSpawn: amount }
        : wrong(record.problem.parts);
    case 'agar-wedges':
      return Number.isInteger(amount) && amount >= 1 && amount <= 200
        ? { way: draft.way, pieces: amount }
        : wrong(record.problem.pieces);
    case 'liquid-culture':
      return amount >= 0.1 && amount <= 1_000
        ? { way: draft.way, volumeMl: amount }
        : wrong(record.problem.volume);
  }
}

function parentOf(draft: Draft, problems: DraftProblems): { batch: string; bag?: number } | null {
  const batch = draft.parent.trim();
  if (batch === '') return null;
  if (draft.parentBag.trim() === '') return { batch };
  const bag = wholeOf(draft.parentBag, 1, 999);
  if (bag === null) {
    problems.parentBag = record.problem.parentBag;
    return { batch };
  }
  return { batch, bag };
}

function wholeOf(text: string, from: number, to: number): number | null {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  return Number.isInteger(value) && value >= from && value <= to ? value : null;
}

/** The next name in the farm's own way of naming: `K738` after `K737`, as many digits. */
export function nextBatchName(batches: readonly Pick<BatchState, 'id'>[]): string {
  let best: { head: string; number: number; digits: number } | null = null;
  for (const { id } of batches) {
    const [, head, digits] = /^(.*?)(\d+)$/.exec(id) ?? [];
    if (head === undefined || digits === undefined) continue;
    if (best === null || Number(digits) > best.number)
      best = { head, number: Number(digits), digits: digits.length };
  }
  return best === null ? 'B001' : best.head + String(best.number + 1).padStart(best.digits, '0');
}
