import { restingDelay } from '../../alerts/conditions/delayed.ts';
import { stepLimit } from '../../alerts/conditions/limit.ts';
import type { Outlook } from '../../alerts/conditions/signal.ts';
import { definitionsOf } from '../../alerts/definitions/definitions.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { fitRoom } from '../../shared/room/fit-room.ts';
import type { RoomFit } from '../../shared/room/room-fit.ts';
import type { RoomsKnown } from '../../shared/room/rooms-known.ts';
import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { coolingFailures, normalWeeks, type RoomStretch } from '../../simulator/studies/cooling-failures.ts';

/** A failure that takes less than this to reach the limit need not be foreseen; a warning counts so long before it. */
const worthForeseeingMin = 40;
const inTimeMin = 20;
/** Sensor that hangs in the room itself. */
const roomAir = 'air.temperature';

const studyHour = (t: EpochMs): number => (t % dayMs) / hourMs;

/** What the room's sensor of a stretch taught up to an instant, as a night of learning would have it. */
function taughtBy({ farm, room, from, readings }: RoomStretch, until: EpochMs): RoomFit {
  const airC = new Float64Array(Math.floor((until - from) / minuteMs)).fill(Number.NaN);
  for (const { channel, t, tempC } of readings)
    if (channel === roomAir && t < until) airC[Math.floor((t - from) / minuteMs)] = tempC;
  const { floorAreaM2 } = farm.rooms.find(({ id }) => id === room)!;
  const history = { from, stepMs: minuteMs, airC, outsideC: null, bagsW: null, coolerOn: null, loads: [] };
  return fitRoom({ ...history, localHour: studyHour }, defaultRoom(floorAreaM2!));
}

/** One fit, from the instant on at which it was learned. */
const knownSince = (fit: RoomFit, since: EpochMs): RoomsKnown => ({
  fitAt: (_, t) => (t >= since ? fit : null),
  loadsAt: () => [],
  bagsW: () => null,
  localHour: studyHour,
});

interface Raised {
  t: EpochMs;
  /** Where the room's own sensor went by then. */
  outlook: Outlook | null;
}

/** When an alarm that a farm file makes by itself was raised, over the readings of a stretch. */
function raisedOver(
  { farm, readings }: RoomStretch,
  alarm: string,
  known: RoomsKnown | null = null,
): Raised[] {
  const definition = definitionsOf(buildFarm(farm, []), known).signals.find(({ id }) => id === alarm)!;
  const watches = definition.plans.map((plan) => ({ plan, signal: plan.create(), memory: restingDelay }));
  const raised: Raised[] = [];
  let holds = false;
  for (const { channel, t, tempC } of readings)
    for (const watch of watches) {
      if (watch.plan.sources[0] !== channel) continue;
      const value = watch.signal.read(channel, t, tempC);
      if (value === null) continue;
      watch.memory = stepLimit(definition.base, watch.memory, t, value);
      const now = watches.some(({ memory }) => memory.on);
      if (now && !holds) {
        const air = watches.find(({ plan }) => plan.sources[0] === roomAir);
        raised.push({ t, outlook: air?.signal.outlook?.() ?? null });
      }
      holds = now;
    }
  return raised;
}

const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1] ?? 0;

/** Warnings before cooler failures, and in ordinary weeks. */
function createTally() {
  const leadsMin: number[] = [];
  const missesMin: number[] = [];
  let held = 0;
  let wrong = 0;
  return {
    failure(failsAt: EpochMs, reachesLimitAt: EpochMs, raised: readonly Raised[]): void {
      const first = raised.find(({ t }) => t >= failsAt);
      leadsMin.push(first === undefined ? 0 : (reachesLimitAt - first.t) / minuteMs);
      if (first?.outlook == null) return;
      const { earliest, likely, latest } = first.outlook.crosses;
      missesMin.push(Math.abs(likely - reachesLimitAt) / minuteMs);
      held += Number(reachesLimitAt >= earliest && reachesLimitAt <= latest);
    },
    week({ readings, limitC }: RoomStretch, from: EpochMs, raised: readonly Raised[]): void {
      for (const { t } of raised) {
        // A shelf that does pass the limit was foreseen rightly, whatever the middle of the room does.
        const passed = readings.some(
          (reading) => reading.tempC > limitC && reading.t >= t && reading.t < t + 2 * hourMs,
        );
        if (t >= from && !passed) wrong += 1;
      }
    },
    figures: (weeks: number) => ({
      /** Failures that take long enough to be foreseen, and those foreseen in time. */
      counted: leadsMin.length,
      inTime: leadsMin.filter((lead) => lead >= inTimeMin).length,
      medianLeadMin: middle(leadsMin),
      wrongPerWeek: wrong / weeks,
      /** How far the likely instant lay from the true one when the warning came, and how often the range held it. */
      medianMissMin: middle(missesMin),
      held: held / missesMin.length,
    }),
  };
}

/**
 * Simulated cooler failures in rooms never seen, and ordinary weeks, judged by the alarm as it is: by plain trends,
 * and, where `taughtDays` come before each stretch, by what the room taught in them too.
 */
export function predictionStudy({
  failures,
  weeks,
  seed,
  taughtDays = 0,
}: {
  failures: number;
  weeks: number;
  seed: number;
  taughtDays?: number;
}) {
  const plain = createTally();
  const taught = createTally();
  const judge = (stretch: RoomStretch, note: (tally: typeof plain, raised: Raised[]) => void): void => {
    const alarm = `predicted-high/${stretch.room}.temperature`;
    note(plain, raisedOver(stretch, alarm));
    if (taughtDays === 0) return;
    const since = stretch.from + taughtDays * dayMs;
    note(taught, raisedOver(stretch, alarm, knownSince(taughtBy(stretch, since), since)));
  };
  // Two more days: what is usual is known, and where the walls are.
  const failing = { count: failures, seed, ...(taughtDays > 0 && { daysBefore: taughtDays + 1 }) };
  for (const stretch of coolingFailures(failing)) {
    const { failsAt, reachesLimitAt } = stretch;
    if (failsAt === null || reachesLimitAt === null) continue;
    if (reachesLimitAt - failsAt < worthForeseeingMin * minuteMs) continue;
    judge(stretch, (tally, raised) => tally.failure(failsAt, reachesLimitAt, raised));
  }
  for (const week of normalWeeks({ count: weeks, seed: seed + 1, daysBefore: taughtDays }))
    judge(week, (tally, raised) => tally.week(week, week.from + taughtDays * dayMs, raised));
  return { ...plain.figures(weeks), taught: taughtDays > 0 ? taught.figures(weeks) : null };
}

/** What a model misses by must be known from days before, so a stretch begins so long after the teaching [days]. */
const followedDays = 2;

/**
 * Coolers that fail, told by 'cooling has no effect': how many of them, how long after, and how often none had failed;
 * by what is usual, and by what the room taught.
 */
export function withoutEffectStudy({
  failures,
  weeks,
  seed,
  taughtDays,
}: {
  failures: number;
  weeks: number;
  seed: number;
  taughtDays: number;
}) {
  const sides = ['usual', 'taught'] as const;
  const delaysMin = { usual: [] as number[], taught: [] as number[] };
  const wrong = { usual: 0, taught: 0 };
  const raised = (stretch: RoomStretch) => {
    const since = stretch.from + taughtDays * dayMs;
    const alarm = `no-cooling/${stretch.room}`;
    return {
      usual: raisedOver(stretch, alarm),
      taught: raisedOver(stretch, alarm, knownSince(taughtBy(stretch, since), since)),
    };
  };
  const daysBefore = taughtDays + followedDays;
  for (const stretch of coolingFailures({ count: failures, seed, daysBefore })) {
    const told = raised(stretch);
    for (const side of sides) {
      const first = told[side].find(({ t }) => t >= stretch.failsAt!);
      if (first !== undefined) delaysMin[side].push((first.t - stretch.failsAt!) / minuteMs);
    }
  }
  for (const week of normalWeeks({ count: weeks, seed: seed + 1, daysBefore })) {
    const told = raised(week);
    for (const side of sides)
      wrong[side] += told[side].filter(({ t }) => t >= week.from + daysBefore * dayMs).length;
  }
  const figures = (side: (typeof sides)[number]) => ({
    told: delaysMin[side].length,
    medianDelayMin: middle(delaysMin[side]),
    wrongPerWeek: wrong[side] / weeks,
  });
  return { usual: figures('usual'), taught: figures('taught') };
}
