import type { Provenance } from '../forecasts.ts';
import { meanOf } from '../stats/mean.ts';
import { median, robustSd } from '../stats/robust.ts';
import type { AirForecast } from './day-profile.ts';

/** Past differences shelf - room [K], one an hour in which both were measured, newest last. Plain data. */
export interface ShelfOffset {
  differencesK: readonly number[];
}

/** A week of hours: long enough for each hour of the day, short enough to follow a moved heater. */
const keptHours = 7 * 24;
/** Before an offset is known it may be this large [K] (assumed: top against bottom shelf of one room). */
const unknownOffsetSdK = 1;
/** Hours of knowledge that the assumption above weighs. */
const assumedHours = 6;
/** A sensor's own error, and how unlike the air is along one shelf [K] (assumed). */
const sensorSdK = 0.3;
const alongShelfSdK = 0.2;

export const newShelfOffset = (): ShelfOffset => ({ differencesK: [] });

/** The offset after one more hour in which shelf and room were both measured [°C]. */
export const learnOffset = ({ differencesK }: ShelfOffset, shelfC: number, roomC: number): ShelfOffset => ({
  differencesK: [...differencesK.slice(-(keptHours - 1)), shelfC - roomC],
});

/** What past differences come to, and how sure that is [K]. */
export interface LearnedOffset {
  offsetK: number;
  sdK: number;
  hours: number;
}

/** Median of past differences and how sure it is [K]; 0 within 1 K before any. */
export function offsetOf({ differencesK }: ShelfOffset): LearnedOffset {
  const hours = differencesK.length;
  if (hours === 0) return { offsetK: 0, sdK: unknownOffsetSdK, hours };
  const spreadVar = hours > 1 ? robustSd(differencesK) ** 2 : unknownOffsetSdK ** 2;
  const variance = (hours * spreadVar + assumedHours * unknownOffsetSdK ** 2) / (hours + assumedHours);
  return { offsetK: median(differencesK), sdK: Math.sqrt(variance), hours };
}

/** Air that no sensor of it tells, with its standard deviation. */
export interface RoughAir {
  tempC: number;
  sdC: number;
}
/** A curve drawn from a hand-written minimum and maximum lies this far from the air [K, 1 sd]. Assumed. */
export const handWrittenSdK = 0.8;
/** A probe in a bag of which nobody knows: growth keeps bags about this much over the air, give or take. Assumed. */
export const strangeBagOverK = 1;
export const strangeBagSdK = 1.5;

export interface ShelfAirQuestion {
  /** Fresh, good values of the shelf's own sensors [°C]. */
  own: readonly number[];
  /** Fresh, good values of sensors that hang in the room at large, or on its other shelves [°C]. */
  room: readonly number[];
  offset: LearnedOffset;
  /** What is known of the air where no sensor tells it; it stands before what is usual. */
  rough?: RoughAir | null;
  /** The room's air as its day profile has it at this instant (`forecastAir`). */
  expected: AirForecast;
}

export interface ShelfAir {
  tempC: number;
  /** Standard deviation of the shelf's true air about it [K]. */
  sdC: number;
  provenance: Provenance;
}

/**
 * The air at a shelf: its own sensors' mean; without one, the room's plus the learned offset; without any,
 * what is roughly known of it, and at last what the room's day profile expects plus the offset. Never without an answer, and each step down is less
 * sure than the one before.
 */
export function shelfAir({ own, room, offset, rough = null, expected }: ShelfAirQuestion): ShelfAir {
  if (own.length > 0) {
    const sdC = Math.hypot(sensorSdK / Math.sqrt(own.length), alongShelfSdK);
    return { tempC: meanOf(own), sdC, provenance: 'measured' };
  }
  const { offsetK, sdK } = offset;
  if (room.length > 0) {
    // The offset was learned from one sensor of this shelf, so many in the room do not cancel its error.
    const sdC = Math.hypot(sensorSdK, alongShelfSdK, sdK);
    return { tempC: meanOf(room) + offsetK, sdC, provenance: 'neighbour' };
  }
  if (rough !== null)
    return { tempC: rough.tempC, sdC: Math.hypot(rough.sdC, alongShelfSdK), provenance: 'filled' };
  const sdC = Math.hypot(expected.sdC, alongShelfSdK, sensorSdK, sdK);
  return { tempC: expected.meanC + offsetK, sdC, provenance: 'filled' };
}
