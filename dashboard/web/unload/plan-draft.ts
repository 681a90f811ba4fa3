import type { FarmView } from '../../../shared/live.ts';
import { type EpochMs, minuteMs } from '../../../shared/time.ts';
import type { UnloadQuestion, UnloadSummary } from '../../../shared/unloads.ts';
import { numberOf, type Writing, wholeWritten } from '../format/value.ts';
import { instantOf } from '../format/zoned.ts';
import { unload as text } from '../text/unload.ts';

/** What is in the planner's form, as typed. */
export interface PlanDraft {
  room: string;
  container: string;
  count: string;
  start: 'cycle' | 'measured';
  /** In the screen's unit. */
  startTemp: string;
  when: 'now' | 'at';
  /** The site's wall clock. */
  at: string;
  /** Channel of the probe that stands in it, empty: none; null: the one that the farm file has for the room. */
  probe: string | null;
  fan: boolean;
  /** kW */
  cooling: string;
}

export type PlanProblems = Partial<Record<keyof PlanDraft, string>>;
export type PlanResult = { ok: true; question: UnloadQuestion } | { ok: false; problems: PlanProblems };

interface Known {
  farm: Pick<FarmView, 'rooms' | 'containers' | 'site'>;
  now: EpochMs;
  /** How this screen writes temperatures. */
  writing: Writing;
}

/** Core as it may come in [°C]; the server refuses what lies outside. */
const startRangeC = [-10, 125] as const;
const usualCount = 12;

/** The form as it opens: like the last unload, else a dozen of what is most often sterilized. */
export function presetOf(farm: Known['farm'], past: readonly UnloadSummary[]): PlanDraft {
  const last = past.find(
    ({ room, load }) =>
      farm.rooms.some(({ id }) => id === room) && farm.containers.some(({ id }) => id === load.container),
  );
  const container = farm.containers.find(({ kind }) => kind === 'block') ?? farm.containers[0];
  return {
    room: last?.room ?? farm.rooms[0]?.id ?? '',
    container: last?.load.container ?? container?.id ?? '',
    count: String(last?.load.count ?? usualCount),
    start: 'cycle',
    startTemp: '',
    when: 'now',
    at: '',
    probe: null,
    fan: false,
    cooling: '0',
  };
}

/** Turns the form into a question, or says of every field that is wrong how to mend it. */
export function questionOf(draft: PlanDraft, { farm, now, writing }: Known): PlanResult {
  const problems: PlanProblems = {};
  if (!farm.rooms.some(({ id }) => id === draft.room)) problems.room = text.problem.room;
  if (!farm.containers.some(({ id }) => id === draft.container)) problems.container = text.problem.container;
  const count = wholeOf(draft.count);
  if (count !== null && count > 999) problems.count = text.problem.many;
  else if (count === null || count < 1) problems.count = text.problem.count;
  const startC = draft.start === 'cycle' ? null : temperatureOf(draft.startTemp, writing, startRangeC);
  if (startC === undefined) problems.startTemp = text.problem.startTemp(...rangeWords(startRangeC, writing));
  const at = draft.when === 'now' ? null : instantOf(draft.at, farm.site.timeZone);
  if (draft.when === 'at' && at === null) problems.at = text.problem.at;
  else if (at !== null && at < now - 5 * minuteMs) problems.at = text.problem.past;
  const coolingKw = numberIn(draft.cooling === '' ? '0' : draft.cooling);
  if (coolingKw === null || coolingKw < 0 || coolingKw > 50) problems.cooling = text.problem.cooling;
  if (Object.keys(problems).length > 0) return { ok: false, problems };
  return {
    ok: true,
    question: {
      room: draft.room,
      load: { container: draft.container, count: count!, startC: startC! },
      at,
      options: { fan: draft.fan, extraCoolingW: Math.round(coolingKw! * 1_000) },
    },
  };
}

const wholeOf = (typed: string): number | null => (/^\s*\d{1,6}\s*$/.test(typed) ? Number(typed) : null);

/** A decimal as people type it, with a point or a comma; null when it is none. */
const numberIn = (typed: string): number | null =>
  /^\s*[-−]?\d+([.,]\d+)?\s*$/.test(typed) ? Number(typed.replace(',', '.').replace('−', '-')) : null;

/** A temperature typed in the screen's unit as °C; undefined when it is none or lies outside. */
export function temperatureOf(
  typed: string,
  writing: Writing,
  [lowC, highC]: readonly [number, number],
): number | undefined {
  const shown = numberIn(typed);
  if (shown === null) return undefined;
  // Both scales are straight lines, so two points of one give its inverse.
  const [zero, one] = [writing.shown(0), writing.shown(1)];
  const tempC = Math.round(((shown - zero) / (one - zero)) * 100) / 100;
  return tempC >= lowC && tempC <= highC ? tempC : undefined;
}

/** Both ends of a range as the screen writes them, the unit at the second. */
export const rangeWords = ([lowC, highC]: readonly [number, number], writing: Writing): [string, string] => [
  numberOf(writing.shown(lowC), 0),
  wholeWritten(highC, writing),
];
