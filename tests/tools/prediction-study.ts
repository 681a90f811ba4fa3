import { restingDelay } from '../../alerts/conditions/delayed.ts';
import { stepLimit } from '../../alerts/conditions/limit.ts';
import { definitionsOf } from '../../alerts/definitions/definitions.ts';
import { buildFarm } from '../../shared/farm/farm.ts';
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';
import { coolingFailures, normalWeeks, type RoomStretch } from '../../simulator/studies/cooling-failures.ts';

/** A failure that takes less than this to reach the limit need not be foreseen; a warning counts so long before it. */
const worthForeseeingMin = 40;
const inTimeMin = 20;

/** When the alarm that a farm file makes by itself foresaw the high limit, over the readings of a stretch. */
function foresaw({ farm, room, readings }: RoomStretch): EpochMs[] {
  const definition = definitionsOf(buildFarm(farm, [])).signals.find(
    ({ id }) => id === `predicted-high/${room}.temperature`,
  )!;
  const watches = definition.plans.map((plan) => ({ plan, signal: plan.create(), memory: restingDelay }));
  const raised: EpochMs[] = [];
  let holds = false;
  for (const { channel, t, tempC } of readings)
    for (const watch of watches) {
      if (watch.plan.sources[0] !== channel) continue;
      const value = watch.signal.read(channel, t, tempC);
      if (value === null) continue;
      watch.memory = stepLimit(definition.base, watch.memory, t, value);
      const now = watches.some(({ memory }) => memory.on);
      if (now && !holds) raised.push(t);
      holds = now;
    }
  return raised;
}

/** Simulated cooler failures in rooms never seen, and ordinary weeks, judged by the alarm as it is. */
export function predictionStudy({
  failures,
  weeks,
  seed,
}: {
  failures: number;
  weeks: number;
  seed: number;
}) {
  const leadsMin: number[] = [];
  for (const stretch of coolingFailures({ count: failures, seed })) {
    const { failsAt, reachesLimitAt } = stretch;
    if (failsAt === null || reachesLimitAt === null) continue;
    if (reachesLimitAt - failsAt < worthForeseeingMin * minuteMs) continue;
    const first = foresaw(stretch).find((t) => t >= failsAt);
    leadsMin.push(first === undefined ? 0 : (reachesLimitAt - first) / minuteMs);
  }
  let wrong = 0;
  for (const week of normalWeeks({ count: weeks, seed: seed + 1 }))
    for (const t of foresaw(week)) {
      // A shelf that does pass the limit was foreseen rightly, whatever the middle of the room does.
      const passed = week.readings.some(
        (reading) => reading.tempC > week.limitC && reading.t >= t && reading.t < t + 2 * hourMs,
      );
      if (!passed) wrong += 1;
    }
  leadsMin.sort((a, b) => a - b);
  return {
    /** Failures that take long enough to be foreseen, and those foreseen in time. */
    counted: leadsMin.length,
    inTime: leadsMin.filter((lead) => lead >= inTimeMin).length,
    medianLeadMin: leadsMin[Math.floor(leadsMin.length / 2)] ?? 0,
    wrongPerWeek: wrong / weeks,
  };
}
