import { HttpError, InfluxDB } from '@influxdata/influxdb-client';
import { AppError, messageOf } from '../../shared/errors.ts';
import type { InfluxSettings } from '../../shared/farm/schema.ts';

/** What became of one request. `refused` will never be taken as it is, the rest may be later. */
export type WriteOutcome =
  | { kind: 'taken' }
  | { kind: 'refused'; reason: string }
  | { kind: 'too-large' }
  | { kind: 'later'; reason: string; retryAfterMs: number };

const query = (values: Record<string, string>): string => new URLSearchParams(values).toString();

/** Reasons that concern lines, not the request as a whole (InfluxDB 1.x says 400, 2.x 400 or 422). */
const ofLines = /partial write|unable to parse|field type conflict|beyond retention|max-values-per-tag/i;

function outcomeOf(thrown: unknown, where: string): WriteOutcome {
  if (!(thrown instanceof HttpError))
    return { kind: 'later', reason: `${where} does not answer (${messageOf(thrown)})`, retryAfterMs: 0 };
  const said = (thrown.json?.error ?? thrown.json?.message ?? thrown.body ?? thrown.message) as string;
  const reason = `${where} answers ${thrown.statusCode}: ${String(said).slice(0, 300)}`;
  if (thrown.statusCode === 413) return { kind: 'too-large' };
  if ((thrown.statusCode === 400 || thrown.statusCode === 422) && ofLines.test(String(said)))
    return { kind: 'refused', reason };
  return { kind: 'later', reason, retryAfterMs: thrown.retryAfter() };
}

/**
 * One try per call, nothing buffered: whoever calls has a durable cursor and retries from it.
 * 1.x is spoken where the farm file names a `database`, 2.x where it names `org` and `bucket`.
 *
 * @param token 2.x: an API token; 1.x: `user:password`, or nothing.
 * @throws AppError `farm-file` when neither is named whole.
 */
export function connectInflux(settings: InfluxSettings, token: string | undefined, timeoutMs = 10_000) {
  const { url, database, org, bucket } = settings;
  const where = `InfluxDB at ${new URL(url).host}`;
  if (database === undefined && (org === undefined || bucket === undefined))
    throw new AppError(
      'farm-file',
      'influx: name a database (InfluxDB 1.x), or both org and bucket (2.x), in the farm file.',
    );
  const writePath =
    database !== undefined
      ? `/write?${query({ db: database, precision: 'ms' })}`
      : `/api/v2/write?${query({ org: org!, bucket: bucket!, precision: 'ms' })}`;
  const options = { url, timeout: timeoutMs, ...(token === undefined ? {} : { token }) };
  const { transport } = new InfluxDB(options);

  return {
    where,
    /** Writes lines of line protocol, timestamps in ms. Never throws. */
    async write(lines: readonly string[]): Promise<WriteOutcome> {
      const headers = { 'content-type': 'text/plain; charset=utf-8' };
      try {
        await transport.request(writePath, lines.join('\n'), {
          method: 'POST',
          headers,
          gzipThreshold: 4_096,
        });
        return { kind: 'taken' };
      } catch (thrown) {
        return outcomeOf(thrown, where);
      }
    },
    /**
     * Asks in InfluxQL; values are bound, never written into the text.
     *
     * @throws AppError `unavailable` when it does not answer, or refuses.
     */
    async ask(text: string, params: Record<string, string | number>): Promise<InfluxRow[]> {
      const bound = { db: database ?? bucket!, epoch: 'ms', q: text, params: JSON.stringify(params) };
      let answer: InfluxAnswer;
      try {
        answer = await transport.request(`/query?${query(bound)}`, '', {
          method: 'GET',
          headers: { accept: 'application/json' },
        });
      } catch (thrown) {
        const outcome = outcomeOf(thrown, where);
        throw new AppError('unavailable', 'reason' in outcome ? outcome.reason : `${where} refuses.`, {
          cause: thrown,
        });
      }
      const [result] = answer.results ?? [];
      const problem = answer.error ?? result?.error;
      if (problem !== undefined) throw new AppError('unavailable', `${where} answers: ${problem}`);
      return result?.series ?? [];
    },
  };
}
export type InfluxConnection = ReturnType<typeof connectInflux>;

/** One series of an InfluxQL answer. */
export interface InfluxRow {
  name: string;
  tags?: Record<string, string>;
  columns: string[];
  values: (number | string | null)[][];
}
interface InfluxAnswer {
  error?: string;
  results?: { error?: string; series?: InfluxRow[] }[];
}
