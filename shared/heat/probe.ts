import { studentTLogDensity } from '../stats/student-t.ts';
import { type ChainStep, type CoreState, evenCore, stepCoreChain } from './core-chain.ts';

/** One guess of how much slower or faster than computed this container is, run beside the others. */
interface ProbeGuess {
  factor: number;
  core: CoreState;
  /** Probe minus model [K], and its variance. */
  offsetK: number;
  offsetVar: number;
  logWeight: number;
}

/** What a probe in a bag has taught so far. Plain data: store it as it is. */
export interface ProbeState {
  guesses: readonly ProbeGuess[];
  readings: number;
}

export interface ProbeCorrection {
  /** To add to the model's core temperature [K], with its standard deviation. */
  offsetK: number;
  offsetSdK: number;
  /** To multiply both time constants with; 1 before anything is known. */
  tauFactor: number;
  /** Core of the corrected model now [°C]. */
  coreC: number;
  readings: number;
}

/** Time constants from a half to twice the computed one: packing, film and shape differ that much (assumed). */
const factors = [0.5, 0.6, 0.72, 0.85, 1, 1.18, 1.4, 1.67, 2] as const;
/** Before any reading a factor of 2 is this many times less likely than 1 (log-normal, sd 0.35; assumed). */
const priorSd = 0.35;
/** An offset beyond sensor placement and self-heating would be odd [K] (assumed). */
const offsetPriorSdK = 1.5;
/** Scatter of a probe about a model with the right factor and offset [K], heavy-tailed (assumed). */
const probeSdK = 0.25;
const probeDegrees = 4;
/** Readings close together tell the same thing: each counts as a part, full weight from here on [s]. */
const independentS = 3600;
/** An offset may wander by this much [K2/s]: about 0.3 K in a day. */
const driftVarPerS = 0.1 / 86_400;

/**
 * Before a probe's first reading.
 * @param core where the container's layers are thought to be; a number for one temperature throughout [°C]
 * @param offset what is believed of probe minus model [K]
 */
export const newProbe = (
  core: CoreState | number,
  offset: { mean: number; sd: number } = { mean: 0, sd: offsetPriorSdK },
): ProbeState => ({
  guesses: factors.map((factor) => ({
    factor,
    core: typeof core === 'number' ? evenCore(core) : core,
    offsetK: offset.mean,
    offsetVar: Math.max(offset.sd, offsetPriorSdK) ** 2,
    logWeight: -0.5 * (Math.log(factor) / priorSd) ** 2,
  })),
  readings: 0,
});

export const scaledThermal = (thermal: ChainStep['thermal'], factor: number): ChainStep['thermal'] => ({
  tauS: thermal.tauS * factor,
  skinTauS: thermal.skinTauS * factor,
  cpJPerKgK: thermal.cpJPerKgK,
});

/**
 * The state after a stretch of air, ending with a probe reading if there is one.
 * Every guess follows the air with its own time constant and keeps its own offset (a Kalman filter); those
 * that foretell the probe gain weight, with heavy tails so that a probe lifted out once breaks nothing.
 * @param probeC null when the probe said nothing fresh
 */
export function followProbe(state: ProbeState, step: ChainStep, probeC: number | null): ProbeState {
  const heard = probeC !== null && Number.isFinite(probeC);
  if (step.dtS <= 0 && !heard) return state;
  const share = Math.min(1, Math.max(0, step.dtS) / independentS);
  const guesses = state.guesses.map((guess): ProbeGuess => {
    const thermal = scaledThermal(step.thermal, guess.factor);
    const core = stepCoreChain(guess.core, { ...step, thermal });
    const offsetVar = guess.offsetVar + driftVarPerS * Math.max(0, step.dtS);
    if (!heard) return { ...guess, core, offsetVar };
    const surpriseK = probeC - core.coreC - guess.offsetK;
    const sd = Math.sqrt(offsetVar + probeSdK ** 2);
    // A surprise of many deviations moves the offset as little as Student's tails ask for.
    const trust = (probeDegrees + 1) / (probeDegrees + (surpriseK / sd) ** 2);
    const gain = (offsetVar * share) / (offsetVar * share + probeSdK ** 2);
    return {
      ...guess,
      core,
      offsetK: guess.offsetK + gain * Math.min(1, trust) * surpriseK,
      offsetVar: offsetVar * (1 - gain * Math.min(1, trust)),
      logWeight: guess.logWeight + share * studentTLogDensity(surpriseK, probeDegrees, 0, sd),
    };
  });
  const top = Math.max(...guesses.map(({ logWeight }) => logWeight));
  return {
    // Nobody falls so far behind that a repacked bag could not bring them back.
    guesses: guesses.map((guess) => ({ ...guess, logWeight: Math.max(-30, guess.logWeight - top) })),
    readings: state.readings + (heard ? 1 : 0),
  };
}

/** Weighted mean over the guesses. */
function meanOver({ guesses }: ProbeState, of: (guess: ProbeGuess) => number): number {
  let total = 0;
  let sum = 0;
  for (const guess of guesses) {
    const weight = Math.exp(guess.logWeight);
    total += weight;
    sum += weight * of(guess);
  }
  return sum / total;
}

/** Layers and core of the container as all guesses together have them, without the offset. */
export const probeCore = (state: ProbeState): CoreState => ({
  outerC: meanOver(state, ({ core }) => core.outerC),
  innerC: meanOver(state, ({ core }) => core.innerC),
  coreC: meanOver(state, ({ core }) => core.coreC),
});

/** The weighted answer of all guesses. */
export function probeCorrection(state: ProbeState): ProbeCorrection {
  const offsetK = meanOver(state, (guess) => guess.offsetK);
  const variance = meanOver(state, (guess) => guess.offsetVar + (guess.offsetK - offsetK) ** 2);
  return {
    offsetK,
    offsetSdK: Math.sqrt(variance),
    tauFactor: Math.exp(meanOver(state, (guess) => Math.log(guess.factor))),
    coreC: meanOver(state, (guess) => guess.core.coreC + guess.offsetK),
    readings: state.readings,
  };
}
