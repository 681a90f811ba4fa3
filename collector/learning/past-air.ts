import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import type { EpochMs } from '../../shared/time.ts';
import type { Engine } from '../forecast/engine.ts';
import { createStoreHistory } from '../store/history.ts';
import { codeOfQuality } from '../store/quality-code.ts';

interface Track {
  channel: string;
  series: number;
  /** Air before it was fed as minute means: its raw readings may have been dropped. */
  rawFrom: EpochMs;
}

const feeding = [codeOfQuality('good'), codeOfQuality('clock-skew')].join(', ');

/**
 * The temperatures that a database holds, handed to an engine in the order in which they became known. A
 * reading that came in the 5 min it was taken in became known with them; for others the log keeps when they came.
 */
export function createPastAir(database: Database, farm: Farm) {
  const history = createStoreHistory(database);
  const marks = database
    .prepare<[], [string, number, number]>('SELECT channel, id, raw_from FROM series')
    .raw()
    .all();
  const tracks: Track[] = marks
    .filter(([channel]) => farm.channels.get(channel)?.quantity === 'temperature')
    .map(([channel, series, rawFrom]) => ({ channel, series, rawFrom }));
  const prompt = database
    .prepare<[number, number, number], [number, number]>(
      `SELECT t, value FROM reading
       WHERE series = ? AND t > ? AND t <= ? AND received IS NULL AND quality IN (${feeding}) ORDER BY t`,
    )
    .raw();
  const lateOf = database
    .prepare<[number], [number, number, number]>(
      `SELECT received, t, value FROM reading
       WHERE series = ? AND received IS NOT NULL AND quality IN (${feeding}) ORDER BY received`,
    )
    .raw();
  const late = tracks.map(({ series }) => ({ rows: lateOf.all(series), next: 0 }));
  let fedTo: EpochMs = Number.NEGATIVE_INFINITY;

  return {
    /** Hands over what became known after the last call and up to an instant. */
    feed(engine: Pick<Engine, 'addReadings'>, upTo: EpochMs): void {
      tracks.forEach(({ channel, series, rawFrom }, index) => {
        if (fedTo < rawFrom) {
          const { t, mean } = history.readMinutes(
            channel,
            Math.max(0, fedTo + 1),
            Math.min(rawFrom, upTo + 1),
          );
          engine.addReadings(channel, t, mean);
        }
        const rows = prompt.all(series, Math.max(fedTo, rawFrom - 1), upTo);
        const { rows: lateRows, ...place } = late[index]!;
        let end = place.next;
        while (end < lateRows.length && lateRows[end]![0] <= upTo) end++;
        const all = [...rows, ...lateRows.slice(place.next, end).map(([, t, value]) => [t, value] as const)];
        late[index]!.next = end;
        if (all.length > 0)
          engine.addReadings(
            channel,
            Float64Array.from(all, ([t]) => t),
            Float64Array.from(all, ([, value]) => value),
          );
      });
      fedTo = Math.max(fedTo, upTo);
    },
  };
}
