import { AppError } from '../../shared/errors.ts';
import type { EpochMs } from '../../shared/time.ts';
import { createInstantReader } from '../import/instants.ts';
import { readLines } from '../import/lines.ts';
import { createProgress } from '../import/progress.ts';
import { type AsOfAnswer, tellAsOf } from '../learning/as-of.ts';
import { createLedger } from '../learning/ledger.ts';
import { systemClock as clock } from '../system-clock.ts';
import { type Command, type OptionValues, text } from './command.ts';
import { openLearned, siteOptions, siteOptionsHelp } from './site-folder.ts';

/** Every instant asked for, those of a file among them; now when none is. */
async function instantsOf(values: OptionValues, timeZone: string): Promise<EpochMs[]> {
  const now = clock.now();
  const read = createInstantReader('auto', timeZone, now);
  const given = Array.isArray(values['as-of']) ? values['as-of'] : [];
  const instants = given.map((word) => {
    try {
      return read(word);
    } catch (thrown) {
      throw new AppError('bad-request', `--as-of: ${(thrown as Error).message}.`, { cause: thrown });
    }
  });
  const file = text(values, 'as-of-file');
  const problems: string[] = [];
  if (file !== undefined)
    await readLines(file, (line, number) => {
      if (line.trim() === '') return;
      try {
        instants.push(read(line));
      } catch (thrown) {
        problems.push(`${file}:${number}: ${(thrown as Error).message}`);
      }
    });
  if (problems.length > 0) throw new AppError('bad-request', problems.join('\n'));
  return instants.length === 0 ? [now] : instants;
}

const day = (t: EpochMs | null, timeZone: string): string =>
  t === null ? '-' : new Intl.DateTimeFormat('en-GB', { timeZone, day: '2-digit', month: 'short' }).format(t);

function table(answers: readonly AsOfAnswer[], t: EpochMs, timeZone: string): string {
  const span = (at: AsOfAnswer['ready']) =>
    at === null
      ? '-'
      : `${day(at.earliest, timeZone)} / ${day(at.likely, timeZone)} / ${day(at.latest, timeZone)}`;
  const rows = answers.map((one) => [
    `${one.id} ${one.bags.length === 1 ? `bag ${one.bags[0]}` : `${one.bags.length} bags`}`,
    one.shelf ?? '-',
    `${Math.round(one.share.likely * 100)} % (${Math.round(one.share.low * 100)}-${Math.round(one.share.high * 100)})`,
    span(one.shakeDue),
    one.seenFull ? 'seen full' : span(one.ready),
    day(one.useBy, timeZone),
    `${one.coreTempC.toFixed(1)} °C`,
  ]);
  const head = ['bags', 'shelf', 'share', 'shake due', 'ready', 'use by', 'core'];
  const widths = head.map((title, column) =>
    Math.max(title.length, ...rows.map((row) => row[column]!.length)),
  );
  const lines = [head, ...rows].map((row) =>
    row
      .map((cell, column) => cell.padEnd(widths[column]!))
      .join('  ')
      .trimEnd(),
  );
  return `As of ${new Date(t).toISOString()}: ${answers.length === 0 ? 'no bags stood.' : ''}\n${answers.length === 0 ? '' : lines.join('\n')}`;
}

export const forecastCommand: Command = {
  name: 'forecast',
  summary: 'what was forecast of every batch at an instant, out of what was known then',
  help: `shelfwarden forecast [--as-of TIME ...] [--as-of-file FILE] [--json] [options]

Tells of every batch that stood at each instant when it is due for a shake and ready (earliest, likely,
latest: 10, 50 and 90 %), its use-by, share, core temperature and heat dose, and what is assumed. Nothing
later than the instant is used: no reading, event, lesson of a finished batch, hot load or word of a room's
model that was not known by then.
The farm file is the one of today. All instants are answered in one pass, oldest first.

  --as-of TIME     ISO 8601 or seconds or milliseconds since 1970; may be given many times (default: now)
  --as-of-file F   a file of such times, one a line
  --json           one JSON object a line for each batch (bags of one history) at each instant; times in ms
${siteOptionsHelp}`,
  options: {
    ...siteOptions,
    'as-of': { type: 'string', multiple: true },
    'as-of-file': { type: 'string' },
    json: { type: 'boolean' },
  },
  async run(values, positionals) {
    if (positionals.length > 0)
      throw new AppError('bad-request', `forecast takes no '${positionals[0]}'; give times with --as-of.`);
    const progress = createProgress(process.stderr, clock);
    const { farm, database } = openLearned(values, progress);
    try {
      const { timeZone } = farm.file.site;
      const instants = await instantsOf(values, timeZone);
      const finished = createLedger(database).finished();
      let done = 0;
      const problems = tellAsOf(
        { database, farm, finished: (t) => finished.filter(({ knownAt }) => knownAt <= t) },
        instants,
        (answers, t) => {
          if (values.json === true)
            process.stdout.write(answers.map((one) => `${JSON.stringify(one)}\n`).join(''));
          else console.log(table(answers, t, timeZone));
          progress.at(() => `${++done} of ${instants.length} instants`);
        },
      );
      progress.end();
      for (const problem of problems) progress.note(problem);
      return problems.length > 0 ? 1 : 0;
    } finally {
      database.close();
    }
  },
};
