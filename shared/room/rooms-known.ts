import type { EpochMs } from '../time.ts';
import type { PastLoad } from './history.ts';
import type { RoomFit } from './room-fit.ts';

/** What rooms taught, for those who only read it; asked of any instant of the past it says what was known then. */
export interface RoomsKnown {
  /** Null where nothing was learned by then. The same object as long as nothing else is known. */
  fitAt(room: string, t: EpochMs): RoomFit | null;
  /** Hot loads that had come into a room by then and were not yet carried out. */
  loadsAt(room: string, t: EpochMs): readonly PastLoad[];
  /** Heat that bags gave to a room then [W]; null where nobody knows. */
  bagsW(room: string, t: EpochMs): number | null;
  /** Hour of the site's day, 0 to 24. */
  localHour(t: EpochMs): number;
}

/** Days of history below which a fit is not yet relied on (assumed). */
const leastDays = 5;

/** Whether a fit was learned from enough of a room's own past to stand in the place of a plain trend. */
export const isTaught = (fit: RoomFit): boolean => fit.trainedDays >= leastDays;
