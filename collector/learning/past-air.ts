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

/** What forecasts are made of: air, and probes in bags. */
const warmth = new Set<string | undefined>(['temperature', 'probe-temperature']);
const feeding = [codeOfQuality('good'), codeOfQuality('clock-skew')].join(', ');

const byHandCode = codeOfQuality('estimated');

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
    .filter(([channel]) => warmth.has(farm.channels.get(channel)?.quantity))
    .map(([channel, series, rawFrom]) => ({ channel, series, rawFrom }));
  const promptOf = (qualities: string) =>
    database
      .prepare<[number, number, number], [number, number]>(
        `SELECT t, value FROM reading
         WHERE series = ? AND t > ? AND t <= ? AND received IS NULL AND quality IN (${qualities}) ORDER BY t`,
      )
      .raw();
  const kinds = [
    { byHand: false, prompt: promptOf(feeding) },
    { byHand: true, prompt: promptOf(String(byHandCode)) },
  ];
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
      const add = (
        channel: string,
        rows: readonly (readonly [t: number, value: number])[],
        byHand: boolean,
      ) => {
        if (rows.length === 0) return;
        const t = Float64Array.from(rows, ([at]) => at);
        engine.addReadings(
          channel,
          t,
          Float64Array.from(rows, ([, value]) => value),
          undefined,
          byHand,
        );
      };
      tracks.forEach(({ channel, series, rawFrom }, index) => {
        for (const { byHand, prompt } of kinds) {
          if (fedTo < rawFrom) {
            const [from, to] = [Math.max(0, fedTo + 1), Math.min(rawFrom, upTo + 1)];
            const { t, mean, count } = history.readMinutes(channel, from, to, { estimated: byHand });
            engine.addReadings(channel, t, mean, count, byHand);
          }
          add(channel, prompt.all(series, Math.max(fedTo, rawFrom - 1), upTo), byHand);
        }
        const { rows, next } = late[index]!;
        let end = next;
        while (end < rows.length && rows[end]![0] <= upTo) end++;
        late[index]!.next = end;
        add(
          channel,
          rows.slice(next, end).map(([, t, value]) => [t, value] as const),
          false,
        );
      });
      fedTo = Math.max(fedTo, upTo);
    },
  };
}
