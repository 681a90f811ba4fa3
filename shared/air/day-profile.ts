import { clamp } from '../stats/range.ts';
import { dayMs, type EpochMs, hourMs } from '../time.ts';
import {
  type Departure,
  freshDeparture,
  hiddenShare,
  moveDeparture,
  observeDeparture,
  persistence,
} from './departure.ts';

/** Milliseconds east of UTC at an instant; the caller knows the site's zone and its summer time. */
export type UtcOffset = (t: EpochMs) => number;

/** What was learned of one hour of the local day. */
export interface ProfileHour {
  /** Days that taught this hour. */
  days: number;
  meanC: number;
  /** Typical distance from the mean [K], as a standard deviation. */
  spreadK: number;
  /** Yesterday's departure at this hour, in units of the hour's spread ratio; null when not known. */
  last: { t: EpochMs; u: number } | null;
}

/**
 * A room's usual day, and how departures from it behave. Plain data: store it, send it to a worker.
 * All temperatures in °C, departures in K.
 */
export interface DayProfile {
  hours: readonly ProfileHour[];
  /** What is thought before the first day is in. */
  prior: { meanC: number; sdC: number };
  departure: Departure;
}

/** A mean and a standard deviation [°C]. */
export interface AirForecast {
  meanC: number;
  sdC: number;
}

/** Days that a profile looks back over: older ones fade with this time constant. */
const memoryDays = 14;
/** Departures beyond this many spreads teach as if they were at it: a door left open is not a usual day. */
const clipSpreads = 3;

/** A profile that has seen nothing: an indoor room somewhere between 14 and 30 °C (assumed). */
export function newDayProfile(prior: { meanC: number; sdC: number } = { meanC: 22, sdC: 4 }): DayProfile {
  const empty: ProfileHour = { days: 0, meanC: prior.meanC, spreadK: prior.sdC, last: null };
  return { hours: Array.from({ length: 24 }, () => empty), prior, departure: freshDeparture() };
}

const hourOfDay = (t: EpochMs, offset: UtcOffset): number => {
  const local = t + offset(t);
  return Math.floor((local - Math.floor(local / dayMs) * dayMs) / hourMs);
};

/** Days of the hour that was taught most. */
export const daysLearned = (profile: DayProfile): number =>
  profile.hours.reduce((most, hour) => Math.max(most, hour.days), 0);

/** Usual temperature of an hour; one never taught takes the mean of those that were. */
function usualC(profile: DayProfile, hour: number): number {
  const own = profile.hours[hour]!;
  if (own.days > 0) return own.meanC;
  const taught = profile.hours.filter(({ days }) => days > 0);
  if (taught.length === 0) return profile.prior.meanC;
  return taught.reduce((sum, { meanC }) => sum + meanC, 0) / taught.length;
}

/** How much wider than the room's average this hour scatters, drawn to 1 while few days are known. */
function spreadRatio(profile: DayProfile, hour: number): number {
  const { days, spreadK } = profile.hours[hour]!;
  const taught = profile.hours.filter((other) => other.days > 1);
  if (days < 2 || taught.length < 6) return 1;
  const mean = taught.reduce((sum, other) => sum + other.spreadK, 0) / taught.length;
  if (!(mean > 0)) return 1;
  return clamp((days * (spreadK / mean) + 6) / (days + 6), 0.4, 2.5);
}

/**
 * The profile after one more hour. Hours must come in order of time, gaps are welcome; one that is not
 * later than the last changes nothing.
 */
export function learnHour(
  profile: DayProfile,
  { t, tempC }: { t: EpochMs; tempC: number },
  offset: UtcOffset,
): DayProfile {
  const { departure } = profile;
  if (departure.t !== null && t <= departure.t) return profile;
  const index = hourOfDay(t, offset);
  const hour = profile.hours[index]!;
  const hours = [...profile.hours];
  if (hour.days === 0) {
    hours[index] = { days: 1, meanC: tempC, spreadK: departure.slowSdK + departure.fastSdK, last: null };
    return { ...profile, hours, departure: moveDeparture(departure, t) };
  }

  const awayK = tempC - hour.meanC;
  const limitK = clipSpreads * Math.max(0.2, hour.spreadK);
  const clippedK = clamp(awayK, -limitK, limitK);
  const weight = Math.max(1 / (hour.days + 1), 1 / memoryDays);
  // Mean absolute distance, times 1.2533 to read as a standard deviation: squares listen to outliers.
  const spreadWeight = Math.max(1 / (hour.days + 3), 1 / memoryDays);
  // A mean of few days lies close to those days: undo the shrinkage that this gives departures from it.
  const u = (awayK * Math.sqrt(hour.days / (hour.days + 1))) / spreadRatio(profile, index);
  const yesterday = hour.last !== null && Math.abs(t - hour.last.t - dayMs) <= hourMs ? hour.last.u : null;
  const days = Math.min(2 * memoryDays, daysLearned(profile));
  hours[index] = {
    days: hour.days + 1,
    meanC: hour.meanC + weight * clippedK,
    spreadK: hour.spreadK + spreadWeight * (1.2533 * Math.abs(clippedK) - hour.spreadK),
    last: { t, u },
  };
  return { ...profile, hours, departure: observeDeparture(departure, t, { u, yesterday, days }) };
}

/** What the profile says of an instant whatever the present is: usual temperature and its spread. */
export function profileAt(profile: DayProfile, t: EpochMs, offset: UtcOffset): AirForecast {
  const hour = hourOfDay(t, offset);
  const { slowSdK, fastSdK } = profile.departure;
  const usualSdK = Math.hypot(slowSdK, fastSdK) * spreadRatio(profile, hour);
  return { meanC: usualC(profile, hour), sdC: Math.hypot(usualSdK, profileErrorK(profile)) };
}

/**
 * How far the learned day as a whole may lie from the true one [K]: the slow departures of the days it was
 * learned from, averaged. Fading days at 1/14 a day counts like the plain mean of 28.
 */
export function profileErrorK(profile: DayProfile): number {
  const days = Math.min(2 * memoryDays, daysLearned(profile));
  if (days === 0) return profile.prior.sdC;
  return profile.departure.slowSdK * Math.sqrt(hiddenShare(days));
}

/**
 * Share of the profile's error that shows a time after the last hour learned: none at first, when the air
 * is as it was just measured whatever is usual, all of it once the departure is gone.
 */
export const errorShare = (profile: DayProfile, t: EpochMs): number => {
  const last = profile.departure.t;
  if (last === null || daysLearned(profile) === 0) return 1;
  return 1 - persistence(profile.departure, Math.max(0, t - last) / hourMs).slow;
};

/** Usual temperature and scale of departures at an instant; the pieces that forecasts are put together from. */
export function profilePieces(
  profile: DayProfile,
  t: EpochMs,
  offset: UtcOffset,
): { usualC: number; ratio: number } {
  const hour = hourOfDay(t, offset);
  return { usualC: usualC(profile, hour), ratio: spreadRatio(profile, hour) };
}

/** Usual temperature and scale of departures of each hour of the day; profiles never change. */
const hoursOf = new WeakMap<DayProfile, { usualC: number; ratio: number }[]>();

/**
 * Mean that `forecastAir` has, without its spread: for long stretches ahead, where nothing but the mean is asked.
 * @param t an instant after the last hour learned
 */
export function expectedAirC(profile: DayProfile, t: EpochMs, offset: UtcOffset): number {
  let hours = hoursOf.get(profile);
  if (hours === undefined) {
    hours = profile.hours.map((_, hour) => ({
      usualC: usualC(profile, hour),
      ratio: spreadRatio(profile, hour),
    }));
    hoursOf.set(profile, hours);
  }
  const { usualC: usual, ratio } = hours[hourOfDay(t, offset)]!;
  const { departure } = profile;
  if (departure.t === null) return usual;
  const { slow, fast } = persistence(departure, Math.max(0, t - departure.t) / hourMs);
  return usual + ratio * (departure.slowK * slow + departure.fastK * fast);
}

/**
 * Air at an instant after the last hour learned: the usual day plus what is left of the present departure,
 * with a spread that grows from the sensor's to the profile's.
 */
export function forecastAir(profile: DayProfile, t: EpochMs, offset: UtcOffset): AirForecast {
  const { usualC, ratio } = profilePieces(profile, t, offset);
  const { slowK, fastK, slowVar, fastVar, crossVar } = moveDeparture(profile.departure, t);
  const departureSdK = ratio * Math.sqrt(Math.max(0, slowVar + fastVar + 2 * crossVar));
  const levelSdK = profileErrorK(profile) * errorShare(profile, t);
  return { meanC: usualC + ratio * (slowK + fastK), sdC: Math.hypot(departureSdK, levelSdK) };
}
