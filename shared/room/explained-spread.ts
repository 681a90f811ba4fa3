import { latinNormals } from '../stats/latin-normals.ts';
import { meanOf } from '../stats/mean.ts';
import { normalDraws } from '../stats/normal-draws.ts';
import { hourMs } from '../time.ts';
import { type ExplainQuestion, explainedBy, knownOf, type LoadRoutine, spreadOf } from './explained.ts';
import { roomParamNames } from './params.ts';
import { roomsAt, weatherLastsMs } from './room-fit.ts';

/** So many rooms and weathers, evenly spread, stand for what is not known. */
const drawn = 16;
/** The same question, the same answer. */
const seed = 20_264;
let drawnPoints: Float64Array[] | undefined;

/** The air of now is measured, whatever the room is: what rooms differ by now tells of so many hours (assumed). */
const measuredH = 12;

/** Errors of outside air by hours from now, each a first-order process that begins at nothing, of unit size at last. */
function outsideErrors(hours: number): Float64Array[] {
  const kept = Math.exp(-hourMs / weatherLastsMs);
  const normal = normalDraws(seed + 1);
  const paths = Array.from({ length: drawn }, () => new Float64Array(hours));
  for (let hour = 1; hour < hours; hour++) {
    for (const path of paths) path[hour] = kept * path[hour - 1]! + Math.sqrt(1 - kept * kept) * normal();
    // Sixteen draws are by chance too wide or too narrow: they get the size that they are to have.
    const now = paths.map((path) => path[hour]!);
    const middle = meanOf(now);
    const size = Math.sqrt(meanOf(now.map((value) => (value - middle) ** 2)));
    const due = Math.sqrt(1 - kept ** (2 * hour));
    for (const path of paths) path[hour] = ((path[hour]! - middle) * due) / size;
  }
  return paths;
}

/**
 * How far the air of each hour from `now` on may lie off its usual day and what `departuresOf` says of it [K, 1 sd]:
 * for what is not known of the room, of the weather ahead where a sensor tells today's, and of loads that nobody has
 * told of. What the model leaves unexplained is not in it: whoever watched the air knows that. Pauses as
 * `explainedBy` does, which it asks of each room.
 */
export function* departureSdOf(
  question: ExplainQuestion,
  routine: LoadRoutine,
): Generator<undefined, Float64Array> {
  const { fit, now, hoursAhead, localHour } = question;
  drawnPoints ??= latinNormals(drawn, roomParamNames.length, seed);
  const outsideSdK = fit.outside.from === 'sensor' ? fit.outside.sdK : 0;
  const errors = outsideErrors(hoursAhead);
  const cases: Float64Array[] = [];
  for (const [index, room] of roomsAt(fit, drawnPoints).entries()) {
    const outsideOffK = errors[index]!.map((error) => outsideSdK * error);
    const { weatherK, loadsK } = yield* explainedBy({ ...question, room, outsideOffK });
    cases.push(weatherK.map((ofWeatherK, hour) => ofWeatherK + loadsK[hour]!).subarray(-hoursAhead));
  }
  return Float64Array.from({ length: hoursAhead }, (_, hour) => {
    const t = now + hour * hourMs;
    const stillKnown = Math.exp((now - t) / (measuredH * hourMs));
    const casesSdK = spreadOf(cases.map((one) => one[hour]! - stillKnown * one[0]!));
    const untold = 1 - knownOf(t, now) ** 2;
    const loadsSdK = routine.sdK[Math.floor(localHour(t + hourMs / 2)) % 24]!;
    return Math.sqrt(casesSdK ** 2 + untold * loadsSdK ** 2);
  });
}
