/** What moves a core from one reading to the next. */
export interface CoreStep {
  /** Core at the start of the step [°C]. */
  coreC: number;
  /** Air during the step [°C], taken as constant. */
  airC: number;
  /** Heat that the mycelium makes, per wet mass [W/kg]. */
  heatingWPerKg: number;
  /** Time constant [s], above zero. */
  tauS: number;
  /** Specific heat, wet [J/(kg K)]. */
  cpJPerKgK: number;
  /** Length of the step [s]; zero or less leaves the core as it is. */
  dtS: number;
}

/**
 * Core temperature at the end of a step [°C]: the exact solution of
 * dTc/dt = (Ta - Tc) / tau + q / cp, so any spacing is as good as any other and a day-long gap is stable.
 */
export function stepCore({ coreC, airC, heatingWPerKg, tauS, cpJPerKgK, dtS }: CoreStep): number {
  if (dtS <= 0) return coreC;
  const restC = airC + (heatingWPerKg * tauS) / cpJPerKgK;
  return restC + (coreC - restC) * Math.exp(-dtS / tauS);
}

/** Mean core temperature over the same step [°C]; thermal time over a long step needs it. */
export function meanCore(step: CoreStep): number {
  const { coreC, airC, heatingWPerKg, tauS, cpJPerKgK, dtS } = step;
  if (dtS <= 0) return coreC;
  const restC = airC + (heatingWPerKg * tauS) / cpJPerKgK;
  const steps = dtS / tauS;
  return restC + ((coreC - restC) * -Math.expm1(-steps)) / steps;
}
