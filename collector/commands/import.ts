import { AppError } from '../../shared/errors.ts';
import { importEvents } from '../import/import-events.ts';
import { importMinMax } from '../import/import-minmax.ts';
import { type ImportCount, importReadings } from '../import/import-readings.ts';
import { createProgress } from '../import/progress.ts';
import { layoutOf, oneOf, unitOf, zoneOf } from '../import/reading-options.ts';
import { createLedger } from '../learning/ledger.ts';
import { systemClock as clock } from '../system-clock.ts';
import { type Command, type OptionValues, text } from './command.ts';
import { openSiteFolder, siteOptions, siteOptionsHelp } from './site-folder.ts';

type Site = Omit<ReturnType<typeof openSiteFolder>, 'folder'> & {
  clock: typeof clock;
  progress: ReturnType<typeof createProgress>;
};

const decimals = ['.', ','] as const;

const delimiterOf = (values: OptionValues): string | undefined => {
  const word = text(values, 'delimiter');
  return word === 'tab' ? '\t' : word;
};

const hourOf = (values: OptionValues, name: string): number | undefined => {
  const word = text(values, name);
  if (word === undefined) return undefined;
  const hour = Number(word);
  if (word.trim() !== '' && hour >= 0 && hour <= 24) return hour;
  throw new AppError('bad-request', `--${name} ${word} is no hour of the day (0-24).`);
};

const imports: Record<string, (file: string, values: OptionValues, site: Site) => Promise<ImportCount>> = {
  readings: (file, values, site) =>
    importReadings(file, {
      ...site,
      layout: layoutOf(values, site.farm.file.site.timeZone),
      delimiter: delimiterOf(values),
      columns: text(values, 'columns')?.split(','),
    }),
  events: (file, _values, site) => importEvents(file, site),
  minmax(file, values, site) {
    const place = text(values, 'at');
    if (place === undefined)
      throw new AppError('bad-request', 'Say whose air it is with --at PLACE: a sensor, shelf or room.');
    return importMinMax(file, {
      ...site,
      place,
      columns: {
        date: text(values, 'date') ?? 'date',
        min: text(values, 'min') ?? 'min',
        max: text(values, 'max') ?? 'max',
      },
      unit: unitOf(text(values, 'unit') ?? 'degC', '--unit'),
      timeZone: zoneOf(values, site.farm.file.site.timeZone),
      decimal: oneOf(values, 'decimal', decimals, '.'),
      delimiter: delimiterOf(values),
      minHour: hourOf(values, 'min-hour'),
      maxHour: hourOf(values, 'max-hour'),
    });
  },
};

export const importCommand: Command = {
  name: 'import',
  summary: 'take in the history that a farm already has: readings, bag events, minima and maxima',
  help: `shelfwarden import readings FILE.csv [options]
shelfwarden import events FILE.jsonl [options]
shelfwarden import minmax FILE.csv --at PLACE [options]

What is there already stays as it is, so a file may be read again. A line that cannot be used is told by its
number and the rest is kept. Stop a running site first. A PLACE is a channel (shelf-b2.temperature), or a
sensor, shelf or room that has one of its kind; B2.humidity chooses another quantity.

${siteOptionsHelp}
  --zone ZONE      zone of times without one (default: the site's)
  --delimiter SIGN between columns: , or ; or tab (default: as the first line looks)
  --decimal SIGN   before the decimals: . or , (default .)

readings, a table with a line of column names:
  --time NAME      column of the time (default time)
  --date NAME      column of the date, where --time holds the time of day only
  --time-format F  iso, s or ms since 1970 (default auto: told by the look)
  --value NAME=PLACE[:UNIT]   a column of values and whose they are; may be given many times
  --by NAME        instead: the column that names the place of each line, with --value NAME for the value
  --quantity Q     with --by: temperature, humidity, co2, ... (default temperature)
  --unit UNIT      with --by: degC, degF, K, %, ... (default: as the sensor sends)
  --columns A,B,.. names of the columns of a file that has no line of names
  --corrected      leave the farm file's calibrations out: the values are corrected already

events, one JSON object to a line, as the API takes bag events:
  {"id":"made-0001","t":1790000000000,"who":"Ida","batch":"OY-001","kind":"made","strain":"larch-2",
   "container":"grain-bag","count":3,"generation":"G1","inoculation":{"way":"agar-wedges","pieces":12}}
  kinds: made, placed, moved, checked (share 0-1), shaken, used, discarded (reason), noted, undone

minmax, a table of days:
  --at PLACE       whose air it is
  --date, --min, --max NAME   columns (default date, min, max); dates as 2026-10-01
  --unit UNIT      degC, degF or K (default degC)
  --min-hour H, --max-hour H  local hours of the extremes (default 6 and 15)

The next start, forecast or score learns from the batches that were finished in that time.
Exits 0 when every line could be used, 1 otherwise.`,
  options: {
    ...siteOptions,
    zone: { type: 'string' },
    delimiter: { type: 'string' },
    decimal: { type: 'string' },
    time: { type: 'string' },
    date: { type: 'string' },
    'time-format': { type: 'string' },
    value: { type: 'string', multiple: true },
    by: { type: 'string' },
    quantity: { type: 'string' },
    unit: { type: 'string' },
    columns: { type: 'string' },
    corrected: { type: 'boolean' },
    at: { type: 'string' },
    min: { type: 'string' },
    max: { type: 'string' },
    'min-hour': { type: 'string' },
    'max-hour': { type: 'string' },
  },
  async run(values, [what, file, ...rest]) {
    const run = imports[what ?? ''];
    if (run === undefined || file === undefined || rest.length > 0)
      throw new AppError(
        'bad-request',
        'import needs what it is and one file: shelfwarden import readings|events|minmax FILE. See --help.',
      );
    const { farm, database } = openSiteFolder(values);
    try {
      const progress = createProgress(process.stderr, clock);
      const count = await run(file, values, { farm, database, clock, progress });
      // What rests on the time that is now known better is learned anew at the next start, forecast or score.
      if (count.from !== null) createLedger(database).forget(count.from);
      console.log(
        `${file}: ${count.lines} lines, ${count.added} new ${what === 'events' ? 'events' : 'readings'}, ` +
          `${count.known} known already, ${count.bad} bad ${count.bad === 1 ? 'line' : 'lines'}.`,
      );
      return count.bad > 0 ? 1 : 0;
    } finally {
      database.close();
    }
  },
};
