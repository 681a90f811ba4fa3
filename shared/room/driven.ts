/**
 * A cooler of which it is known when it ran: what it gave is then no longer guessed from the air by a thermostat, and
 * what the air did tells of the room alone.
 */
export interface KnownCooler {
  /** Part of each sample that it ran, 0 to 1; NaN where that is not known. */
  on: Float64Array;
  stepMin: number;
}

/** How a cooler answers its switch, and a sensor the air. */
export interface Answers {
  /** A cooler that comes on builds up its output with this time constant; when it goes off it gives nothing [min]. */
  buildsUpMin: number;
  /** Time constant of what is read behind the air of the room [min]. */
  readMin: number;
}

/** Substeps of a room whose cooler is known: a sensor's lag wants short ones [s]. */
export const drivenSubstepS = 60;

/** Part of its distance to the air that what is read goes in a substep: backward Euler, as the room itself is stepped. */
export const readPart = ({ readMin }: Pick<Answers, 'readMin'>): number =>
  drivenSubstepS / (drivenSubstepS + 60 * readMin);

/** What is thought of them before, with the spread of the logs [1 sd]. Assumed. */
export const usualAnswers: Answers = { buildsUpMin: 2, readMin: 2 };
export const answersLnSd = { buildsUpMin: 0.5, readMin: 0.6 } as const;

/** Part of its capacity that a cooler gave in each of some longer steps, 0 to 1; NaN where it is not known. */
export function outputOf({ on, stepMin }: KnownCooler, buildsUpMin: number, gridMin: number): Float64Array {
  const perStep = Math.round(gridMin / stepMin);
  const given = new Float64Array(Math.floor(on.length / perStep));
  const builds = -Math.expm1(-stepMin / buildsUpMin);
  let output = 0;
  for (let step = 0; step < given.length; step++) {
    let sum = 0;
    for (let i = step * perStep; i < (step + 1) * perStep; i++) {
      const part = on[i]!;
      // Where nobody knows, it is taken as having given all that it could by the time that one does.
      output = part > 0 ? output + builds * (1 - output) : 0;
      sum += part * output;
      if (Number.isNaN(part)) output = 1;
    }
    given[step] = sum / perStep;
  }
  return given;
}
