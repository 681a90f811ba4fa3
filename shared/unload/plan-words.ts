import { heatAllowanceHours } from '../growth/dose.ts';
import type { Thermal } from '../heat/container.ts';
import { fanFilm } from '../heat/film.ts';
import { wetSurfaceShare } from '../heat/wet-surface.ts';
import { bagsWords, untoldOf } from '../room/words.ts';
import { type EpochMs, hourMs } from '../time.ts';
import { shownHours } from './outlook.ts';
import { riseShareSd, shelfErrorSdK } from './plan-case.ts';
import type { PlanInput } from './plan-input.ts';
import { openVesselC, type StartTemperature } from './start.ts';

const percent = (share: number): string => `${Math.round(100 * share)} %`;

export interface Known {
  start: StartTemperature;
  thermal: Thermal;
  nowC: number;
  measured: boolean;
  outsideMeasured: boolean;
  /** Room air two hours from now without the load [°C]. */
  soonC: number;
}

/** The air leaves what it is now by more than this although nothing happens [K]: the model does not know it well. */
const oddK = 1;

/** An hour that lies ahead, by the site's wall clock: `at 14:05`, `tomorrow at 08:30`. */
function hourAhead({ now, localHour }: Pick<PlanInput, 'now' | 'localHour'>, t: EpochMs): string {
  const hour = localHour(t);
  const days = Math.round((localHour(now) + (t - now) / hourMs - hour) / 24);
  const minutes = Math.floor(60 * (hour % 1) + 1e-6);
  const clock = [Math.floor(hour), minutes].map((part) => String(part).padStart(2, '0')).join(':');
  return days === 0 ? `at ${clock}` : days === 1 ? `tomorrow at ${clock}` : `in ${days} days at ${clock}`;
}

/** Other loads that come in before this one is over, as they are counted; nothing when there are none. */
function scheduledWords(input: PlanInput): string[] {
  const loads = (input.scheduled ?? [])
    .filter(({ at }) => at < input.at + shownHours * hourMs)
    .sort((a, b) => a.at - b.at)
    .map(({ load, container, at }) => {
      const when = at <= input.now ? 'at once, being late' : hourAhead(input, at);
      return `${load.count} × ${container.name} ${when}`;
    });
  if (loads.length === 0) return [];
  const what = loads.length === 1 ? 'Another load is scheduled' : 'Other loads are scheduled';
  return [`${what} for this room, and counted as if it came: ${loads.join('; ')}.`];
}

/** What bags give to the room while the plan goes on; nothing when that is nothing, or nobody knows. */
function bagsAssumed({ fit, bagsW }: PlanInput): string[] {
  const bags = bagsWords(fit, bagsW);
  if (bags === null) return [];
  return bags.isBeside
    ? [`Bags give about ${bags.power} now, as far as their growth is known, and go on giving that.`]
    : fit.trainedDays === 0
      ? []
      : ['The heat of bags is as it was while this room was learned: it is part of its own gains.'];
}

/** What speaks against all that is planned, in sentences. */
export const doubtsOf = ({ alarms = [] }: Pick<PlanInput, 'alarms'>): string[] =>
  alarms.map(
    (title) =>
      `An alarm stands: ${title}. This is planned as if the cooler and its thermostat worked as they did; if one has failed, the room gets warmer and bears less. See to it first.`,
  );

/** Everything that a plan takes for granted, in sentences. */
export function assumptionsOf(input: PlanInput, known: Known): string[] {
  const { fit, load, container, options, cohorts, earlier } = input;
  const { start, thermal, nowC, measured, outsideMeasured, soonC } = known;
  const words = [start.words];
  if (load.startC !== null && load.startC > openVesselC)
    words.push(
      `${load.startC.toFixed(0)} °C was given as the start; wet material in an opened vessel is at ${openVesselC} °C at most, so that was taken.`,
    );
  if (start.tempC <= nowC)
    words.push('The load is no warmer than the room: it takes heat from it rather than warming it.');
  else {
    const share = wetSurfaceShare(thermal, start.tempC, nowC);
    words.push(
      `Water on wet surfaces is left out: as vapour it could carry off up to ${percent(share)} of the load's heat, and then the room gets less warm and damper, and the load cools sooner.`,
    );
  }
  words.push(
    `Each ${container.name} weighs ${container.massKg} kg and is ${percent(container.moisture)} water; all start alike and stand as carts usually do here.`,
  );
  if (fit.trainedDays === 0)
    words.push('Nothing of this room has been learned yet: its figures are those of rooms of its size.');
  else if (fit.unloads === 0)
    words.push('No unload of this room was recorded yet: how it takes sudden heat is a guess.');
  if (fit.trainedDays > 0)
    words.push(...untoldOf(fit).map((told) => told.replace('Its past', "This room's past")));
  if (!measured)
    words.push(
      `No sensor tells this room's air now: ${nowC.toFixed(1)} °C was taken, as its thermostat holds it.`,
    );
  else if (Math.abs(soonC - nowC) > oddK)
    words.push(
      `The room is at ${nowC.toFixed(1)} °C now, and would be at ${soonC.toFixed(1)} °C in two hours without the load, as far as is known of it: that is planned from.`,
    );
  if (!outsideMeasured)
    words.push(
      fit.outside.from === 'assumed'
        ? 'Outside air is assumed, for want of a sensor.'
        : 'Outside air is that of a usual day here, for want of a reading now.',
    );
  words.push(
    (input.alarms ?? []).length === 0
      ? 'The cooler works as it did, and doors are opened as usual, not propped.'
      : 'The cooler works as it did, although an alarm speaks against it, and doors are opened as usual, not propped.',
    ...bagsAssumed(input),
  );
  if (options.fan)
    words.push(
      `A fan blows at the load and its film is ${fanFilm.factor} times as good (assumed): it cools sooner and warms the room more at first.`,
    );
  if (options.extraCoolingW > 0)
    words.push(
      `${(options.extraCoolingW / 1000).toFixed(1)} kW of cooling is brought in and works as the room's own does.`,
    );
  if (earlier.length > 0)
    words.push(
      'Loads that stand there already are counted with the heat left in them, and take none up: a cold one may be carried off any time.',
    );
  words.push(...scheduledWords(input));
  if (cohorts.length > 0)
    words.push(
      `Shelves keep their usual difference from the room's air to ${shelfErrorSdK} K, and get its rise to ${percent(riseShareSd)} (assumed).`,
      `Bags stand ${heatAllowanceHours} equivalent hours at their species' heat limit (assumed).`,
    );
  return words;
}
