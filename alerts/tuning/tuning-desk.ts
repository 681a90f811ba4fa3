import { AppError } from '../../shared/errors.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { FarmEdits, RecordedReadings, TuningDesk } from '../../shared/ports.ts';
import { dayMs } from '../../shared/time.ts';
import type { LimitEdit, LimitedBand, SaveLimits } from '../../shared/tuning.ts';
import type { AlarmBook } from '../alarm-book.ts';
import { withCores } from '../core-log.ts';
import { limitsChanged } from '../journal.ts';
import { backTest } from './back-test.ts';
import { bandIn, changeInWords, limitedBands, versionOf } from './bands.ts';
import { nuisanceOf } from './nuisance.ts';

/** Raw readings are kept for three months unless a farm says otherwise; more is no more than patience. */
const longestMs = 400 * dayMs;

interface TuningNeeds {
  book: Pick<AlarmBook, 'cores' | 'held' | 'journalSpan' | 'journal' | 'noteLimits' | 'priorityOf'>;
  /** The farm as it runs. */
  farm: () => Farm;
  edits: FarmEdits;
  recorded: RecordedReadings;
  pause: () => Promise<void>;
}

/** Looks after a site's alarms: what they cost, and what a change would have cost. */
export function createTuningDesk({ book, farm, edits, recorded, pause }: TuningNeeds): TuningDesk {
  /** Saves wait for one another, so that the second sees what the first wrote. */
  let saving: Promise<unknown> = Promise.resolve();

  const bandOf = ({ at, measure }: LimitEdit, on = farm()): LimitedBand => {
    const band = limitedBands(on).find((one) => one.at === at && one.measure === measure);
    if (band === undefined)
      throw new AppError(
        'not-found',
        `Nothing at ${at} has limits of ${measure}, or nothing there measures it.`,
      );
    return band;
  };

  const checkVersion = ({ at, measure, version }: SaveLimits) => {
    if (versionOf(bandIn(farm(), at, measure)) === version) return;
    const last = book.journal({ place: at, limit: 50 }).find(({ event }) => event === limitsChanged);
    const by = last === undefined ? 'somebody' : `${last.who} (${last.why})`;
    throw new AppError(
      'conflict',
      `Nothing was written: since you read these limits, ${by} changed them. Look at what holds now, then change it.`,
    );
  };

  const saveNow = async ({ version, who, ...edit }: SaveLimits): Promise<LimitedBand> => {
    checkVersion({ version, who, ...edit });
    const what = changeInWords(bandIn(farm(), edit.at, edit.measure), edit.set);
    if (what === '') return bandOf(edit);
    bandOf(edit, edits.tried(edit));
    await edits.save(edit);
    const band = bandOf(edit);
    book.noteLimits(
      band.alarms.map(({ id }) => id),
      who,
      what,
    );
    return band;
  };

  return {
    nuisance: ({ from, to }) =>
      nuisanceOf({ from, to, lines: book.journalSpan(from, to), priorityOf: book.priorityOf }),
    limits: () => limitedBands(farm()),
    async backTest({ from, to, ...edit }) {
      if (from >= to || to - from > longestMs)
        throw new AppError('bad-request', 'Give a span that ends after it begins, of at most 400 days.');
      const { at, measure } = edit;
      const farms = { now: farm(), changed: edits.tried(edit) };
      return backTest({
        ...farms,
        at,
        measure,
        from,
        to,
        recorded: withCores(recorded, book.cores),
        held: book.held(),
        pause,
      });
    },
    save(edit) {
      const saved = saving.then(() => saveNow(edit));
      saving = saved.catch(() => {});
      return saved;
    },
  };
}
