import { fanFilm, filmFactorRange } from '../heat/film.ts';
import { type RoomParams, roomParamNames } from '../room/params.ts';
import { meanRoom, roomsAt } from '../room/room-fit.ts';
import { bagsBesideW, withBags } from '../room/with-bags.ts';
import { latinNormals } from '../stats/latin-normals.ts';
import { normalDraws } from '../stats/normal-draws.ts';
import { clamp } from '../stats/range.ts';
import { firstLoadBelief, nextLoad } from './load-belief.ts';
import type { PlanInput } from './plan-input.ts';
import type { StartTemperature } from './start.ts';
import { openVesselC } from './start.ts';

/** One way in which things may be: the room, the load, the outside and what the model leaves unexplained. */
export interface PlanCase {
  room: RoomParams;
  filmFactor: number;
  heatFactor: number;
  conductionFactor: number;
  startC: number;
  /** Film of earlier loads, at which no fan blows any more. */
  plainFilm: number;
  /** Standard normal numbers: error of outside air; shelves' air; how much of a rise shelves get. */
  outsideZ: number;
  shelfErrorK: number;
  riseShare: number;
  /** What the model leaves unexplained at every fifth minute from now on [K]. */
  residualK: Float64Array;
}

/** So many are run in some tens of milliseconds, and evenly spread they stand for what is not known. */
const caseCount = 32;
/** Numbers of a case besides those of its room. */
const others = 6;
/** The same question, the same answer. */
const seed = 20_261;
/** A shelf's usual difference from the room holds to this [K]; a rise there is that of the room to this part. Assumed. */
export const shelfErrorSdK = 0.3;
export const riseShareSd = 0.1;
/** Spacing of the residual [s], and how far ahead it goes. */
export const residualStepS = 300;
const residualHours = 72;
const residualSteps = (residualHours * 3600) / residualStepS;

/** The first coordinates are the least entangled: those of the load, and of how it stands in the room. */
let known: Float64Array[] | undefined;
const points = (): Float64Array[] => {
  known ??= latinNormals(caseCount, others + roomParamNames.length, seed);
  return known;
};

/** Spread of the residual after so many steps [K]. */
export const residualSdK = (sdK: number, lastsS: number, step: number): number =>
  sdK * Math.sqrt(1 - Math.exp((-2 * step * residualStepS) / lastsS));

/** A first-order process that starts at nothing: the room's air now is measured. */
function residualOf(sdK: number, lastsS: number, normal: () => number): Float64Array {
  const kept = Math.exp(-residualStepS / lastsS);
  const freshK = sdK * Math.sqrt(1 - kept * kept);
  const path = new Float64Array(residualSteps);
  for (let step = 1; step < path.length; step++) path[step] = kept * path[step - 1]! + freshK * normal();
  return path;
}

type Asked = Pick<PlanInput, 'fit' | 'options' | 'belief' | 'bagsW'>;

/** A case from a room and the standard normal numbers of what else may be. */
function caseMaker({ fit, options, belief, bagsW }: Asked, start: StartTemperature) {
  const besideW = bagsBesideW(fit, bagsW);
  const { lnHeat } = nextLoad(belief ?? firstLoadBelief);
  const factor = (ln: number, low: number, high: number): number => clamp(Math.exp(ln), low, high);
  return (drawn: RoomParams, numbers: ArrayLike<number>, residualK: Float64Array): PlanCase => {
    const [heatZ, startZ, outsideZ, shelfZ, riseZ, fanZ] = Array.from(numbers) as [
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    const plainFilm = clamp(drawn.filmFactor, filmFactorRange.low, filmFactorRange.high);
    const fan = options.fan ? fanFilm.factor * Math.exp(fanFilm.lnSd * fanZ) : 1;
    return {
      // Cooling that is brought in is ruled by the same air as the room's own.
      room: withBags({ ...drawn, coolingW: drawn.coolingW + options.extraCoolingW }, besideW),
      plainFilm,
      filmFactor: clamp(plainFilm * fan, filmFactorRange.low, filmFactorRange.high),
      // A room whose unloads taught it knows film and heat together.
      heatFactor: fit.unloads > 0 ? drawn.heatFactor : factor(lnHeat.mean + lnHeat.sd * heatZ, 0.5, 2),
      conductionFactor: drawn.conductionFactor,
      startC: Math.min(openVesselC, start.tempC + start.sdK * startZ),
      outsideZ,
      shelfErrorK: shelfErrorSdK * shelfZ,
      riseShare: Math.max(0.5, 1 + riseShareSd * riseZ),
      residualK,
    };
  };
}

/** Everything as it is held most likely, and nothing left to chance: of one course it is the best guess. */
export const likelyCase = (asked: Asked, start: StartTemperature): PlanCase =>
  caseMaker(asked, start)(meanRoom(asked.fit), new Float64Array(others), new Float64Array(residualSteps));

/** Cases in mirrored pairs, so that together they are centred where the fit is. */
export function drawCases(asked: Asked, start: StartTemperature): PlanCase[] {
  const { fit } = asked;
  const rooms = roomsAt(
    fit,
    points().map((point) => point.slice(others).reverse()),
  );
  const normal = normalDraws(seed + 1);
  const caseOf = caseMaker(asked, start);
  const { sdK, lastsS } = fit.residual;
  let residual: Float64Array = new Float64Array(0);
  return rooms.map((drawn, index) => {
    const mirrored = index % 2 === 1;
    residual = mirrored ? residual.map((value) => -value) : residualOf(sdK, lastsS, normal);
    return caseOf(drawn, points()[index]!.subarray(0, others), residual);
  });
}
