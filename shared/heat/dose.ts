/**
 * Time at a reference temperature that does as much as a unit of time at `tempC`: 10^((T - Tref) / z).
 * Bigelow 1921; Ball's lethal rate. 1 at the reference; never negative.
 */
export const lethalRate = (tempC: number, referenceC: number, zK: number): number =>
  Math.exp((Math.LN10 * (tempC - referenceC)) / zK);

/** Time for a tenfold reduction at another temperature, from that at a reference; unit as given. */
export const decimalTimeAt = (decimalTime: number, tempC: number, referenceC: number, zK: number): number =>
  decimalTime / lethalRate(tempC, referenceC, zK);
