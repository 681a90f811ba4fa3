import type { RoomFit } from '../room/room-fit.ts';
import type { EpochMs } from '../time.ts';
import { seriesOf } from './air-series.ts';
import { ownDoing } from './cooler-off.ts';
import { busierCooler, heldUpFall } from './habits.ts';
import { newLevelFrom } from './new-level.ts';
import type { RecentAir } from './plan-input.ts';
import { jumpMin, type Rise, stayingWarm, tellingRise } from './rises.ts';

export interface RecogniseQuestion {
  /** The last eight hours or so, in steps of one to five minutes; gaps are NaN. Swings show up to two. */
  air: RecentAir;
  /** Leave out for a room of which nothing was learned: then a steady room's failed cooler may be asked about. */
  fit?: RoomFit | undefined;
  /** Heat that bags in the room give [W]; null, or left out, where nobody knows. */
  bagsW?: number | null;
  localHour: (t: EpochMs) => number;
  now: EpochMs;
}

export interface Recognised {
  /** When the load seems to have come in. */
  at: EpochMs;
  /** A cooler that gives little or nothing would do the same; `why` says so. */
  orStopped: boolean;
  /** In sentences: what speaks for it. */
  why: string;
}

// Margins here and in what this file imports were chosen on simulated rooms, 320 unloads, 60 cooler failures and 30
// ordinary weeks, and checked on others (`npm run bench -- recognise`).
/** What is usual needs at least so much before it [min]. */
const leastUsualMin = 140;
/** What is longer ago is no longer asked about [min]. */
const askedForMin = 180;
/** Further past what was usual than this, a rise need only beat the room's own heat, without a margin [K]. */
const farPastK = 1.5;

const clock = (hour: number): string => {
  const minutes = Math.round(hour * 60) % (24 * 60);
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
};

const percent = (part: number): string => `${Math.round(100 * part)} %`;

function inWords(
  { kind, heldUp, jumpK, usualJumpK, pastK, riseK }: Rise,
  minutes: (samples: number) => number,
): string {
  const past = `${pastK.toFixed(1)} K past where it had been`;
  if (kind === 'turned')
    return `the air rose ${riseK.toFixed(1)} K at once, ${past}, and has turned since, which it would not with a failed cooler`;
  const before = heldUp === null ? '' : `the cooler took ${minutes(heldUp)} min to bring the air down, then `;
  return `${before}the air rose ${jumpK.toFixed(1)} K within ${jumpMin} min, faster than in the hours before (${usualJumpK.toFixed(1)} K), and ${past}`;
}

/**
 * Whether the room's air looks like a hot load that nobody declared. These speak for one:
 *
 * - a rise faster than any of the hours before, that takes the air past all it had been. A failed cooler lets the
 *   room rise no faster than it does in every pause of its cooler. A heater starts from the lowest air and is soon
 *   over; so is an open door;
 * - a rise past the usual that turns of itself;
 * - air that stays past the usual; a fall that takes far longer than falls did; a cooler that runs for more of the
 *   time than in all swings before. A cooler that gives little or nothing does so as well, and it is said.
 *
 * What led to a level at which the cooler goes on to pause was the thermostat, not a load.
 *
 * Ask every few minutes: the answer stays for hours, and its `at` within some minutes. Null while nothing speaks
 * for it.
 */
export function recogniseUnload(question: RecogniseQuestion): Recognised | null {
  const { air, fit, now, localHour, bagsW } = question;
  const series = seriesOf(air, now);
  if (series === null) return null;
  const { tempC, first, samples, minutes } = series;
  const said = (place: number, what: string, orStopped: boolean): Recognised => {
    const at = air.firstT + place * air.stepMs;
    const doubt = orStopped ? ' A cooler that gives little or nothing would do the same.' : '';
    return { at, orStopped, why: `It looks like a hot load at ${clock(localHour(at))}: ${what}.${doubt}` };
  };

  const oldest = Math.max(
    first + samples(leastUsualMin),
    tempC.length - samples(askedForMin),
    newLevelFrom(series),
  );
  const rise = tellingRise(
    series,
    oldest,
    (start, end, pastK) =>
      fit !== undefined &&
      ownDoing({ fit, air, tempC, localHour, bagsW }, start, end, pastK >= farPastK ? 0 : 1),
  );
  // Of a room that was not learned nobody can say how fast it rises with its cooler off.
  const learned = fit !== undefined && fit.trainedDays > 0;
  if (rise !== null)
    return said(rise.came, inWords(rise, minutes), !learned && rise.kind === 'fast' && rise.heldUp === null);
  const warm = stayingWarm(series, oldest);
  if (warm !== null)
    return said(
      warm.came,
      `the air has stayed past where it had been for ${minutes(warm.stays)} min, by ${warm.pastK.toFixed(1)} K now`,
      true,
    );
  const fall = heldUpFall(series, oldest);
  if (fall !== null)
    return said(
      fall.at,
      `the cooler has run for ${minutes(fall.length)} min to bring the air down, which took ${minutes(fall.usually)} min in the hours before`,
      true,
    );
  const busier = busierCooler(series, oldest);
  if (busier !== null)
    return said(
      busier.at,
      `the cooler has run for ${percent(busier.runs)} of the time since, and for no more than ${percent(busier.ran)} in the hours before`,
      true,
    );
  return null;
}
