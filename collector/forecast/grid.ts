import { dayMs, type EpochMs, hourMs, minuteMs } from '../../shared/time.ts';

/** All computation runs on one grid of 5 min, aligned to the epoch, so that any way of getting there agrees. */
export const stepMs = 5 * minuteMs;
export const stepS = stepMs / 1000;
export const stepHours = stepMs / hourMs;
export const stepDays = stepMs / dayMs;
export const stepsPerDay = dayMs / stepMs;
export const stepsPerHour = hourMs / stepMs;

/** The step that an instant falls in; step n covers [n, n + 1) times 5 min since the epoch. */
export const stepOf = (t: EpochMs): number => Math.floor(t / stepMs);
export const timeOf = (step: number): EpochMs => step * stepMs;
