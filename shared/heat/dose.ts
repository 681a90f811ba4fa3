/**
 * Time at a reference temperature that does as much as a unit of time at `tempC`: 10^((T - Tref) / z).
 * Bigelow 1921; Ball's lethal rate. 1 at the reference; never negative.
 */
export const lethalRate = (tempC: number, referenceC: number, zK: number): number =>
  10 ** ((tempC - referenceC) / zK);

/** Time for a tenfold reduction at another temperature, from that at a reference; unit as given. */
export const decimalTimeAt = (decimalTime: number, tempC: number, referenceC: number, zK: number): number =>
  decimalTime / lethalRate(tempC, referenceC, zK);

/** z of the heat dose of mycelium [K]; assumed, no publication found. */
export const assumedDoseZK = 6;

/**
 * Equivalent hours at the species' heat limit that `dtS` seconds at `coreC` add. Capped at 60 K over the
 * limit, where the dose is beyond any doubt, so that a wild reading gives no infinity.
 */
export const doseHours = (coreC: number, heatLimitC: number, dtS: number, zK = assumedDoseZK): number =>
  (lethalRate(Math.min(coreC, heatLimitC + 60), heatLimitC, zK) * dtS) / 3600;
