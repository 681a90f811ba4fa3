/**
 * Heat of mycelium, per wet mass and at the response's full rate: of growing through [W/kg for a share of 1 in a
 * thermal day], and of keeping alive what is grown through [W/kg]. Together 1-3 K at the peak of a run; their split
 * is assumed (tests/reference/self-heating.test.ts).
 */
export const growHeatWPerKg = 0.9;
export const keepHeatWPerKg = 0.06;
