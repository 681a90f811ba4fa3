/** A thermostat that switches: it cools above its band, heats below it, and does neither within. */
export interface ThermostatSpec {
  coolAboveC: number;
  heatBelowC: number;
  /** Half the dead band around each switching point [K]. */
  halfBandK: number;
  /** A compressor stays off, and on, at least this long [s]. */
  leastOffS: number;
  leastOnS: number;
  /** Its own sensor follows the air with this time constant [s]. */
  lagS: number;
}

export interface ThermostatState {
  mode: 'idle' | 'cooling' | 'heating';
  inModeS: number;
  sensedC: number;
}

/** One step of `stepS` seconds in air of `airC`. Pure. */
export function stepThermostat(
  state: ThermostatState,
  spec: ThermostatSpec,
  airC: number,
  stepS: number,
): ThermostatState {
  const sensedC = airC + (state.sensedC - airC) * Math.exp(-stepS / spec.lagS);
  const stay = { ...state, sensedC, inModeS: state.inModeS + stepS };
  const become = (mode: ThermostatState['mode']) => ({ mode, sensedC, inModeS: 0 });
  switch (state.mode) {
    case 'cooling':
      return stay.inModeS >= spec.leastOnS && sensedC < spec.coolAboveC - spec.halfBandK
        ? become('idle')
        : stay;
    case 'heating':
      return sensedC > spec.heatBelowC + spec.halfBandK ? become('idle') : stay;
    case 'idle':
      if (sensedC > spec.coolAboveC + spec.halfBandK && stay.inModeS >= spec.leastOffS)
        return become('cooling');
      return sensedC < spec.heatBelowC - spec.halfBandK ? become('heating') : stay;
  }
}
