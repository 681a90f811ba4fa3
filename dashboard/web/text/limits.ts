import type { LimitedBand } from '../../../shared/tuning.ts';

export const weekdays = [
  { day: 'mon', name: 'Mon' },
  { day: 'tue', name: 'Tue' },
  { day: 'wed', name: 'Wed' },
  { day: 'thu', name: 'Thu' },
  { day: 'fri', name: 'Fri' },
  { day: 'sat', name: 'Sat' },
  { day: 'sun', name: 'Sun' },
] as const;
const levelWords = {
  highHigh: 'far too high',
  high: 'too high',
  low: 'too low',
  lowLow: 'far too low',
} as const;
interface SpanWords extends Record<keyof typeof levelWords | 'from' | 'to', string> {
  days: readonly string[];
}

/** English for the page of limits. */
export const limits = {
  intro:
    'Try a change on the past before you save it: which alarms it would have raised, how much sooner or later, and what nobody would have been told. Saving writes the farm file and the journal.',
  measure: {
    temperature: 'temperature',
    humidity: 'humidity',
    'dew-point': 'dew point',
    vpd: 'drying power of the air',
    co2: 'carbon dioxide',
    pressure: 'air pressure',
    'probe-temperature': 'probe temperature',
    core: 'core of the bags',
  } satisfies Record<LimitedBand['measure'], string>,
  field: {
    highHigh: 'Far too high',
    high: 'Too high',
    low: 'Too low',
    lowLow: 'Far too low',
    deadband: 'Deadband',
    onDelayS: 'Rings after',
    offDelayS: 'Over after',
    risePerH: 'Rises faster than',
    fallPerH: 'Falls faster than',
    reAlarmMin: 'Rings again after',
    shelveCapMin: 'Shelved for at most',
  },
  neverAgain: 'never rings again once acknowledged',
  times: {
    title: 'Other levels at times of day',
    hint: 'The first one that fits counts; a level left empty is as at all other times. One that ends before it begins runs past midnight.',
    fromRoom: (words: string) => `As its room has them: ${words}.`,
    inWords: ({ days, from, to, ...levels }: SpanWords) => {
      const names = weekdays.filter(({ day }) => days.includes(day)).map(({ name }) => name);
      const limits = (Object.keys(levelWords) as (keyof typeof levelWords)[])
        .filter((level) => levels[level] !== '')
        .map((level) => `${levelWords[level]} ${levels[level]}`);
      return `${names.length === 0 ? 'every day' : names.join(', ')} ${from}–${to}${limits.map((one) => `, ${one}`).join('')}`;
    },
    own: 'Give it its own',
    add: 'Add a time of day',
    one: (number: number) => `Time of day ${number}`,
    everyDay: 'every day',
    from: 'From',
    to: 'Until',
    asElse: 'as else',
    remove: 'Remove this time of day',
    noTime: (number: number) =>
      `Time of day ${number}: give when it begins and ends as hours and minutes, such as 06:30.`,
  },
  urgency: 'Urgency',
  usual: 'as usual',
  unlimited: 'Measured, with no limit yet',
  inherited: 'Shelves that go by their room',
  inheritedHint:
    'What you save for one of them holds there instead of its room’s limit, with an alarm of its own.',
  summary: (levels: string, deadband: string, delay: string, timesOfDay: number) =>
    `${levels}; deadband ${deadband}, rings after ${delay}${
      timesOfDay === 0
        ? ''
        : timesOfDay === 1
          ? '; other levels at one time of day'
          : `; other levels at ${timesOfDay} times of day`
    }`,
  change: 'Change …',
  close: 'Close',
  /** What stands in an empty field that has no number of its own. */
  unset: (field: string) => (field === 'reAlarmMin' ? 'by urgency' : 'none'),
  emptyHint:
    'An empty field takes the default that it shows. Ringing again and shelving change nothing in a trial, in which nobody acknowledges.',
  over: 'Try it on the',
  tryIt: 'Try on the past',
  save: 'Save',
  saved: 'Saved in the farm file.',
  outdated: 'Somebody changed these limits while you were looking.',
  lookAgain: 'Show what holds now',
  crossed: (upper: string, lower: string) =>
    `${upper} has to lie above ${lower.toLowerCase()}: correct the one or the other.`,
  noNumber: (field: string) => `${field}: give a number, or leave it empty.`,
  result: 'What it would have meant',
  resultOf: (from: string, to: string) => `What it would have meant, ${from} to ${to}`,
  picture: (name: string) => `${name}: the furthest value, both limits, and when alarms held under each`,
  asNow: 'as now',
  asChanged: 'as changed',
  stripNow: 'now',
  stripChanged: 'changed',
  limitNow: (value: string) => `now ${value}`,
  limitNew: (value: string) => `changed ${value}`,
  sum: {
    alarms: 'Alarms',
    perWeek: 'Rings a week',
    held: 'Time in alarm',
    unseen: 'Beyond today’s limits with nobody told, worst place',
    fleeting: 'Over within a minute',
    chattering: 'Chattered',
    floods: 'Floods',
  },
  head: { alarm: 'Alarm', when: 'Rang', long: 'Lasted', difference: 'Against now' },
  stillHolds: 'still holds',
  gone: 'would not ring',
  fresh: 'new',
  lead: (minutes: number, span: string) =>
    minutes === 0 ? 'the same' : minutes > 0 ? `${span} sooner` : `${span} later`,
  noAlarms: 'No alarm in this time, with either.',
  morePairs: (count: number) => `and ${count} more, all of them in the sums and the picture`,
} as const;
