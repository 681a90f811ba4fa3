/** What parameters of a temperature response may be; apart from the schema, which pages do without. */
export const temperatureLimitsC = { low: -40, high: 150 } as const;
export const exponentLimits = { low: 0.2, high: 20 } as const;

/** Whether a fitted response could stand in a farm file. */
export const isWithinLimits = (spec: object): boolean =>
  Object.entries(spec).every(([name, value]) => {
    if (typeof value !== 'number') return true;
    const { low, high } = name === 'exponent' ? exponentLimits : temperatureLimitsC;
    return value >= low && value <= high;
  });
