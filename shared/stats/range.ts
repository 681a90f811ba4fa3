import { AppError } from '../errors.ts';

/**
 * Passes a number through when it lies in [low, high].
 * @throws AppError 'out-of-range' that names the parameter, what came and what is allowed.
 */
export function inRange(name: string, value: number, low: number, high: number, unit = ''): number {
  if (value >= low && value <= high) return value;
  const suffix = unit === '' ? '' : ` ${unit}`;
  throw new AppError(
    'out-of-range',
    `${name} is ${value}${suffix}; it must lie in ${low} to ${high}${suffix}`,
    {
      details: { name, value, low, high },
    },
  );
}

/** `value` kept within [low, high]. NaN stays NaN. */
export const clamp = (value: number, low: number, high: number): number =>
  Math.min(high, Math.max(low, value));
