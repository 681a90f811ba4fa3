import {
  handWrittenSdK,
  type LearnedOffset,
  learnOffset,
  newShelfOffset,
  offsetOf,
  type RoughAir,
  type ShelfOffset,
  shelfAir,
  strangeBagOverK,
  strangeBagSdK,
} from '../../shared/air/shelf-air.ts';
import type { Provenance } from '../../shared/forecasts.ts';
import type { EpochMs } from '../../shared/time.ts';
import { stepsPerDay, stepsPerHour, timeOf } from './grid.ts';
import { createJointSeries } from './joint-series.ts';
import { freshSteps, nothingLearned, type RoomTrack } from './room-track.ts';
import { firstOf, meanOf, type StepSeries } from './step-series.ts';

const sources: readonly Provenance[] = ['measured', 'neighbour', 'filled', 'filled'];
/** The third: filled with what is usual, which tells nothing of that day. */
const usual = 2;
const roughly = 3;

/** Air of a shelf in one step. */
export interface StepAir {
  tempC: number;
  sdK: number;
  source: Provenance;
  /** Something told the air of that step, if only roughly. */
  told: boolean;
}

/** What is carried from step to step; a copy of it starts any stretch again. */
interface Carried {
  ownC: number;
  ownAge: number;
  roomC: number;
  roomAge: number;
  rough: RoughAir | null;
  roughAge: number;
  differences: ShelfOffset;
  offset: LearnedOffset;
}

const atFirst: Carried = {
  ownC: Number.NaN,
  ownAge: freshSteps,
  roomC: Number.NaN,
  roomAge: freshSteps,
  rough: null,
  roughAge: freshSteps,
  differences: newShelfOffset(),
  offset: offsetOf(newShelfOffset()),
};

/** Air of a shelf nobody knows anything of. */
export const nowhere: StepAir = {
  tempC: nothingLearned.prior.meanC,
  sdK: nothingLearned.prior.sdC,
  source: 'filled',
  told: false,
};

/** What tells the air of a shelf. */
export interface ShelfSources {
  own: readonly StepSeries[];
  room: RoomTrack;
  /** All that bears on the shelf, the room's other sensors included. */
  all: readonly StepSeries[];
  /** Estimated by hand of this shelf. */
  byHand: readonly StepSeries[];
  /** Probes in bags that nobody named. */
  strangeBags: readonly StepSeries[];
}

/** Air of one shelf step by step, worked out once and kept until a late reading changes it. */
export interface ShelfTrack {
  /** Air during a step that is over, into `air`. */
  read(step: number, air: StepAir): void;
  /** Air to expect at an instant, as known before a step; as a gap is filled. */
  expected(step: number, t: EpochMs): { tempC: number; sdK: number };
  /** One past the last step that anyone was told of. */
  told(): number;
  /** First step that any sensor of the room bears on; infinite without one. */
  first(): number;
  /** Learned offset to the room, as known before a step. */
  offset(step: number): LearnedOffset;
  /**
   * Readings came in for a step and perhaps for later ones.
   * @returns first step whose air was told otherwise, Infinity if none was, undefined if nobody asked so far
   */
  reopen(step: number): number | undefined;
  dropBefore(step: number): void;
}

export function createShelfTrack({ own, room, all, byHand, strangeBags }: ShelfSources): ShelfTrack {
  const ownAir = createJointSeries(own);
  let base = Number.POSITIVE_INFINITY;
  /** Steps worked out, from `base`. */
  let known = 0;
  let told = Number.NEGATIVE_INFINITY;
  let tempC = new Float64Array(0);
  let sdK = new Float64Array(0);
  let source = new Uint8Array(0);
  let carried: Carried = { ...atFirst };
  /** The offset as known at the end of each hour from that of `base` on. */
  let offsets: LearnedOffset[] = [];
  /** `carried` before the first step of each day, oldest first. */
  let saved: { step: number; carried: Carried }[] = [];

  const grow = (): void => {
    if (known < tempC.length) return;
    const size = Math.max(2 * stepsPerDay, 2 * tempC.length);
    const [wasTempC, wasSdK, wasSource] = [tempC, sdK, source];
    tempC = new Float64Array(size);
    sdK = new Float64Array(size);
    source = new Uint8Array(size);
    tempC.set(wasTempC);
    sdK.set(wasSdK);
    source.set(wasSource);
  };

  /** What is roughly known of a step: of this shelf by hand, from a bag on it, of the room by hand. */
  const roughIn = (step: number): RoughAir | null => {
    const here = meanOf(byHand, step);
    if (!Number.isNaN(here)) return { tempC: here, sdC: handWrittenSdK };
    const bag = meanOf(strangeBags, step);
    if (!Number.isNaN(bag)) return { tempC: bag - strangeBagOverK, sdC: strangeBagSdK };
    const inRoom = room.estimated(step);
    if (Number.isNaN(inRoom)) return null;
    const { offsetK, sdK: offsetSdK } = carried.offset;
    return { tempC: inRoom + offsetK, sdC: Math.hypot(handWrittenSdK, offsetSdK) };
  };

  const takeIn = (step: number): void => {
    const ownC = ownAir.mean(step);
    const roomC = room.mean(step);
    carried.ownAge = Number.isNaN(ownC) ? carried.ownAge + 1 : 0;
    carried.roomAge = Number.isNaN(roomC) ? carried.roomAge + 1 : 0;
    if (carried.ownAge === 0) carried.ownC = ownC;
    if (carried.roomAge === 0) carried.roomC = roomC;
    if (carried.ownAge === 0 && carried.roomAge === 0 && step % stepsPerHour === 0) {
      carried.differences = learnOffset(carried.differences, ownC, roomC);
      carried.offset = offsetOf(carried.differences);
    }
    const rough = roughIn(step);
    carried.roughAge = rough === null ? carried.roughAge + 1 : 0;
    if (rough !== null) carried.rough = rough;
    if (step === base || step % stepsPerHour === 0) offsets.push(carried.offset);
  };

  const hourOf = (step: number): number => Math.floor(step / stepsPerHour);

  /** What is learned in the first step of an hour holds for all steps after it up to the next hour's second. */
  const offsetBefore = (step: number): LearnedOffset => {
    workOut(step);
    return (step <= base ? undefined : offsets[hourOf(step - 1) - hourOf(base)]) ?? atFirst.offset;
  };

  const workOut = (until: number): void => {
    if (known === 0 && saved.length === 0) base = Math.min(base, firstOf(all));
    for (let step = base + known; step < until; step++) {
      if (step % stepsPerDay === 0 && saved.at(-1)?.step !== step)
        saved.push({ step, carried: { ...carried } });
      takeIn(step);
      const ownFresh = carried.ownAge < freshSteps;
      const roomFresh = carried.roomAge < freshSteps;
      const rough = carried.roughAge < freshSteps ? carried.rough : null;
      const expected =
        ownFresh || roomFresh || rough !== null
          ? { meanC: Number.NaN, sdC: Number.NaN }
          : room.expected(step, timeOf(step));
      const air = shelfAir({
        own: ownFresh ? [carried.ownC] : [],
        room: roomFresh ? [carried.roomC] : [],
        offset: carried.offset,
        rough,
        expected,
      });
      grow();
      tempC[known] = air.tempC;
      sdK[known] = air.sdC;
      source[known] =
        air.provenance === 'filled' && rough !== null ? roughly : sources.indexOf(air.provenance);
      known++;
    }
  };

  /** Forgets what was worked out from a step on, and some before it. */
  const goBack = (step: number): void => {
    if (known === 0) return;
    while (saved.length > 0 && saved.at(-1)!.step > step) saved.pop();
    const last = saved.at(-1);
    carried = { ...(last?.carried ?? atFirst) };
    known = last === undefined ? 0 : last.step - base;
    offsets.length = known === 0 ? 0 : hourOf(base + known - 1) - hourOf(base) + 1;
    if (last === undefined) base = Number.POSITIVE_INFINITY;
  };

  return {
    read(step, air) {
      told = Math.max(told, step + 1);
      if (known === 0 || step >= base + known) workOut(step + 1);
      const index = step - base;
      if (!(index >= 0 && index < known)) {
        air.tempC = room.unmeasured.prior.meanC;
        air.sdK = room.unmeasured.prior.sdC;
        air.source = 'filled';
        air.told = false;
        return;
      }
      air.tempC = tempC[index]!;
      air.sdK = sdK[index]!;
      air.source = sources[source[index]!]!;
      air.told = source[index] !== usual;
    },
    expected(step, t) {
      const expected = room.expected(step, t);
      const { tempC, sdC } = shelfAir({ own: [], room: [], offset: offsetBefore(step), expected });
      return { tempC, sdK: sdC };
    },
    told: () => told,
    first: () => Math.min(base, firstOf(all)),
    offset: offsetBefore,
    reopen(step) {
      ownAir.reopen(step);
      if (step >= told) {
        if (step < base + known) goBack(step);
        return undefined;
      }
      const wasBase = base;
      const from = Math.max(0, step - base);
      const [wasTempC, wasSdK, wasSource] = [tempC, sdK, source].map((list) => list.slice(from, known)) as [
        Float64Array,
        Float64Array,
        Uint8Array,
      ];
      goBack(step);
      workOut(told);
      if (base !== wasBase) return Math.min(step, base);
      const same = (at: number): boolean =>
        tempC[from + at] === wasTempC[at] &&
        sdK[from + at] === wasSdK[at] &&
        source[from + at] === wasSource[at];
      for (let at = 0; at < wasTempC.length; at++) if (!same(at)) return base + from + at;
      return Number.POSITIVE_INFINITY;
    },
    dropBefore(step) {
      ownAir.dropBefore(step);
      const from = saved.findLast((one) => one.step <= step)?.step;
      if (from === undefined || from - base < 7 * stepsPerDay) return;
      tempC = tempC.slice(from - base);
      sdK = sdK.slice(from - base);
      source = source.slice(from - base);
      known -= from - base;
      offsets = offsets.slice(hourOf(from) - hourOf(base));
      base = from;
      saved = saved.filter((one) => one.step >= from);
    },
  };
}
