import type { EpochMs } from '../../shared/time.ts';
import type { Random } from '../random.ts';

/** The climate of a scenario: the same in every month, so that a demo looks alike whenever it is opened. */
export interface Climate {
  meanC: number;
  /** Half the difference between afternoon and night [K]. */
  dayHalfRangeK: number;
  /** Spread of the day-to-day weather [K], and how long it lasts [h]. */
  weatherSdK: number;
  weatherHours: number;
  /** Water in the outside air [g/kg]. */
  moistureGPerKg: number;
  /** Hours that local sun time is ahead of UTC. */
  sunOffsetH: number;
}

export interface Weather {
  /** Departure of the day's weather from the climate [K]. */
  departureK: number;
}

/** Hour of the local sun day, 0-24. */
export const sunHour = (t: EpochMs, climate: Climate): number =>
  (t / 3_600_000 + climate.sunOffsetH + 24) % 24;

/** Air outside [°C]: warmest about 15 h, coldest before sunrise. */
export const outsideC = (weather: Weather, climate: Climate, t: EpochMs): number =>
  climate.meanC +
  weather.departureK +
  climate.dayHalfRangeK * Math.cos(((sunHour(t, climate) - 15) / 24) * 2 * Math.PI);

/** The day's weather wanders as an Ornstein-Uhlenbeck process. */
export function stepWeather(weather: Weather, climate: Climate, stepS: number, random: Random): void {
  const keep = Math.exp(-stepS / (climate.weatherHours * 3600));
  weather.departureK =
    keep * weather.departureK + random.normal(0, climate.weatherSdK * Math.sqrt(1 - keep * keep));
}
