import type { Thermal } from './container.ts';

/** Core and the two layers that the room's changes must pass first [°C]. Plain data: store it as it is. */
export interface CoreState {
  outerC: number;
  innerC: number;
  coreC: number;
}

/** A container of one temperature throughout. */
export const evenCore = (tempC: number): CoreState => ({ outerC: tempC, innerC: tempC, coreC: tempC });

export interface ChainStep {
  /** Air during the step [°C], taken as constant. */
  airC: number;
  /** Heat that the mycelium makes, per wet mass [W/kg]. */
  heatingWPerKg: number;
  /** Length of the step [s]; zero or less changes nothing. */
  dtS: number;
  thermal: Pick<Thermal, 'tauS' | 'skinTauS' | 'cpJPerKgK'>;
}

/** What a step of one length leaves of each layer's distance from where it tends, and what it hands on. */
export interface ChainParts {
  skinSteps: number;
  skinLeft: number;
  coreLeft: number;
  fromInner: number;
  fromOuter: number;
}

/** @param dtS above 0 */
export function chainParts({ tauS, skinTauS }: Pick<Thermal, 'tauS' | 'skinTauS'>, dtS: number): ChainParts {
  const skinSteps = dtS / skinTauS;
  const skinLeft = Math.exp(-skinSteps);
  const coreLeft = Math.exp(-dtS / tauS);
  // The skin decays faster than the core by `gap`; tests hold it well above zero for every shape.
  const gap = tauS / skinTauS - 1;
  return {
    ...{ skinSteps, skinLeft, coreLeft },
    fromInner: (coreLeft - skinLeft) / gap,
    fromOuter: (coreLeft - skinLeft * (1 + (gap * dtS) / tauS)) / (gap * gap * (skinTauS / tauS)),
  };
}

/** Moves a container on in place, by where its layers tend to [°C]. */
function moveOn(
  state: CoreState,
  { skinSteps, skinLeft, coreLeft, fromInner, fromOuter }: ChainParts,
  outerRestC: number,
  innerRestC: number,
  coreRestC: number,
): void {
  const outer = state.outerC - outerRestC;
  const inner = state.innerC - innerRestC;
  const core = state.coreC - coreRestC;
  state.outerC = outerRestC + outer * skinLeft;
  state.innerC = innerRestC + (inner + outer * skinSteps) * skinLeft;
  state.coreC = coreRestC + core * coreLeft + inner * fromInner + outer * fromOuter;
}

/** Moves a container without heat of its own on in place, by air of a step [°C]. */
export const followAir = (state: CoreState, parts: ChainParts, airC: number): void =>
  moveOn(state, parts, airC, airC, airC);

/**
 * Core temperature of a container after a step, as three first-order lags in a row: outer layer, inner
 * layer (both `skinTauS`), core (`tauS`), solved exactly for constant air, so spacing does not matter.
 *
 * A single lag runs 13 to 30 % of a temperature step ahead of the true centre, whose slowest term starts
 * from c1 > 1 and not from 1. The chain has the mean and the variance of the centre's own response, and
 * stays within 2 % of conduction once Fo passes 0.2 and within 3 % before (tests/reference/core.test.ts).
 */
export function stepCoreChain(state: CoreState, { airC, heatingWPerKg, dtS, thermal }: ChainStep): CoreState {
  if (dtS <= 0) return state;
  const { tauS, skinTauS, cpJPerKgK } = thermal;
  const warmingKPerS = heatingWPerKg / cpJPerKgK;
  const outerRestC = airC + warmingKPerS * skinTauS;
  const innerRestC = outerRestC + warmingKPerS * skinTauS;
  const coreRestC = innerRestC + warmingKPerS * tauS;

  const next = { ...state };
  moveOn(next, chainParts(thermal, dtS), outerRestC, innerRestC, coreRestC);
  return next;
}
