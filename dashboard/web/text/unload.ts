import type { UnloadEventKind, UnloadStage } from '../../../shared/unloads.ts';

const times = (count: number, one: string, many: string): string =>
  count === 1 ? `1 ${one}` : `${count} ${many}`;

/** English for hot loads and the rooms that they heat. */
export const unload = {
  title: 'Unload',
  lead: 'What a hot load does to a room, asked before it comes in.',
  load: (count: number, container: string) => `${count} × ${container}`,

  planner: 'Plan an unload',
  plannerAnother: 'Plan another',
  room: 'Room',
  container: 'Container',
  count: 'How many',
  fewer: (what: string) => `${what}: one fewer`,
  more: (what: string) => `${what}: one more`,
  start: 'Core as it comes in',
  startWay: { cycle: 'from the cycle', measured: 'measured' },
  startTemp: (unit: string) => `Measured core, ${unit}`,
  when: 'When',
  whenWay: { now: 'now', at: 'at …' },
  at: 'Day and time',
  helps: 'What helps',
  fan: 'a fan at the load',
  cooling: 'Extra cooling brought in, kW',
  probe: 'Probe in it',
  probeNone: 'none',
  probeHint: 'Into the middle of one container before the cart rolls; the time then follows it by itself.',
  nowProbe: 'Probe now',
  probeHeard: (ago: string) => `${ago} ago`,
  probeSilent: (ago: string) => `silent for ${ago}`,
  probeNothing: 'nothing yet',
  probeAside: 'does not count',
  probeSettling: 'still taking the temperature',
  who: 'Who',
  whoHint: 'For the record of what is declared.',
  problem: {
    room: 'Choose the room.',
    container: 'Choose the container.',
    count: 'A whole number from 1 to 999.',
    many: 'At most 999 at once: plan more in parts, one after another.',
    startTemp: (low: string, high: string) => `From ${low} to ${high}.`,
    at: 'A date and a time.',
    past: 'This is over; choose an hour that lies ahead.',
    cooling: 'From 0 to 50 kW.',
    reading: (low: string, high: string) => `A temperature from ${low} to ${high}.`,
  },

  answer: 'What it would do',
  planLater: 'What it would do is reckoned from a day before it comes.',
  reckoning: 'Reckoning …',
  mendFirst: 'Mend what is marked, and the answer follows.',
  noAnswer: (why: string) => `No answer: ${why}`,
  fits: (count: number, when: string | null) =>
    when === null ? `All ${count} may come in now` : `All ${count} may come in at ${when}`,
  fitsOne: (when: string | null) => (when === null ? 'It may come in now' : `It may come in at ${when}`),
  tooMany: (count: number, when: string | null) =>
    when === null ? `${count} at once are too many now` : `${count} at once are too many at ${when}`,
  tooHot: (when: string | null) =>
    when === null ? 'Even one is too much now' : `Even one is too much at ${when}`,
  doubted: 'An alarm of this room speaks against it.',
  peak: (temp: string, low: string, high: string, when: string) =>
    `At its warmest the room gets to ${temp} (${low}–${high}), ${when}.`,
  peakAbout: (when: string) => `about ${when}`,
  noRise: (temp: string, high: string) =>
    `The room gets no warmer than the ${temp} that it has (${high} at worst).`,
  over: (batches: number) =>
    batches === 1 ? 'One batch passes what it stands' : `${numberWord(batches)} batches pass what they stand`,
  overPerhaps: (batches: number) =>
    batches === 1
      ? 'One batch may pass what it stands'
      : `${numberWord(batches)} batches may pass what they stand`,
  overNames: (what: string, names: readonly string[], more: number) =>
    `${what}: ${more === 0 ? names.join(', ') : `${names.join(', ')} and ${more} more`}.`,
  overNone: 'Nothing that stands there passes what it stands.',
  overRoom: (limit: string) =>
    `Nothing that stands there passes what it stands, but the air may pass ${limit}.`,
  noneStands: 'Nothing stands there that it could harm.',
  limit: (name: string, limit: string, span: string, low: string, high: string) =>
    `Above ${name} ${limit} for ${span} (${low} to ${high}).`,
  limitAtWorst: (name: string, limit: string, span: string, high: string) =>
    `Above ${name} ${limit} for ${span}; at worst for ${high}.`,
  limitPerhaps: (name: string, limit: string, span: string) =>
    `Hardly above ${name} ${limit}; at worst for ${span}.`,
  limitNone: 'It stays below every limit of the room.',
  cool: (limit: string, from: string, to: string) =>
    `Cool enough to inoculate (${limit} at the core) between ${from} and ${to}`,
  coolLikely: (when: string) => `, likely ${when}.`,
  coolNever: (limit: string) => `Does not get down to ${limit} at the core within what can be foreseen.`,
  surface: (temp: string, until: string) =>
    `${temp} at the surface: gloves, no bare hands until about ${until}.`,
  surfaceNever: (temp: string) => `${temp} at the surface: gloves, no bare hands.`,
  surfaceFine: (temp: string) => `${temp} at the surface.`,
  roomBackBy: (to: string) => `The room is back by ${to}.`,
  roomBack: (from: string, to: string) => `The room is back between ${from} and ${to}.`,
  largest: (count: number, why: string) => `At most ${count} at once, limited by ${why}.`,
  largestNone: (_none: number, why: string) => `None may come in, limited by ${why}.`,
  ways: 'What would do',
  split: (parts: readonly { count: number; when: string }[]) =>
    `Bring in ${listed(parts.map(({ count, when }) => `${count} ${when}`))}`,
  splitNow: 'now',
  splitAt: (when: string) => `at ${when}`,
  better: (when: string) => `Better at ${when}, all at once`,
  moveOut: (racks: readonly string[]) =>
    racks.length === 1 ? `Move rack ${racks[0]} out first` : `Move racks ${listed([...racks])} out first`,
  fewerAtOnce: (count: number) => `Bring in ${count} only`,
  noWay: 'No split, no hour of the next day and no rack moved out makes it fit.',
  planSo: 'Plan it so',
  declare: 'They are in the room now',
  declareOne: 'It is in the room now',
  schedule: (when: string) => `Schedule it for ${when}`,
  telling: 'Saving …',
  refused: (why: string) => `Not saved: ${why}`,
  viewerOnly: 'Declaring an unload takes an operator.',
  scheduled: (when: string) => `Scheduled for ${when}.`,
  assumed: 'What this assumes',

  air: (room: string) => `Air of the ${room}`,
  airLine: 'expected',
  airLabel: (room: string) => `Air of the ${room}, expected, with its range and limits`,
  airLiveLabel: (room: string) => `Air of the ${room}, measured against what was expected`,
  airKey:
    'Of what is expected, the line is the likeliest course; the bar is the warmest that the room gets to, and when, earliest to latest.',
  airKeyBefore:
    'Planned by an earlier version: the line is the middle of all courses held possible; the bar is the middle of their peaks, and when, earliest to latest.',
  core: 'Core of the load',
  coreLine: 'expected',
  coreProbe: (sensor: string) => `measured by ${sensor}`,
  coreBelief: 'by what was measured since',
  coreLabel:
    'Core temperature of the load, expected, with its range and when it meets the inoculation temperature',
  inoculateBelow: (limit: string) => `inoculate below ${limit}`,
  coreLiveLabel:
    'Core temperature of the load by what was measured since it came in, with its range, beside what was expected, and when it meets the inoculation temperature',
  chartKey: 'The bar: cool enough to inoculate, earliest to latest. Dots: what was measured.',
  now: 'now',
  table: 'The curves as a table',
  tableHead: { time: 'Time', air: 'Air', airRange: 'Range', core: 'Core', coreRange: 'Range' },

  dose: 'Who stands there',
  doseHint: 'Heat in memory, as a share of what each batch stands; at 100 % harm begins.',
  doseHead: { what: 'Batch', shelf: 'Shelf', peak: 'Core peak', before: 'Heat now', after: 'Then' },
  passes: 'passes it',
  mayPass: 'may pass it',
  lessExposed: (count: number) =>
    count === 1 ? 'One that is less exposed' : `${count} that are less exposed`,
  range: (likely: string, low: string, high: string) => `${likely} (${low}–${high})`,

  underway: (room: string) => `Underway in the ${room}`,
  underwaySince: (what: string, when: string, span: string) => `${what} since ${when}, for ${span}`,
  coolIn: (limit: string) => `until ${limit} at the core`,
  coolInPlain: 'until cool enough to inoculate',
  coolNow: 'Cool enough to inoculate',
  coolUnknown: 'not foreseen',
  between: (from: string, to: string) => `between ${from} and ${to}`,
  line: (when: string, left: string) => `Unload since ${when}: ${left}`,
  lineAhead: (when: string) => `Unload scheduled for ${when}`,
  nowAir: 'Air now',
  nowCore: 'Core now',
  nowSurface: 'Surface now',
  beyond: (k: string) => `${k} above what was expected`,
  below: (k: string) => `${k} below what was expected`,
  asExpected: 'as expected',
  noAir: 'no sensor tells',
  remarks: 'Not as planned',
  asPlanned: 'All goes as planned.',
  noPlan: 'What it will do is not known yet, or this room cannot be reckoned.',
  measure: 'Hold a thermometer to it',
  measureWhere: { core: 'Probe in the core', surface: 'Infrared on the surface' },
  measureField: { core: (unit: string) => `Core, ${unit}`, surface: (unit: string) => `Surface, ${unit}` },
  measureSave: (temp: string) => `Save ${temp}`,
  measureEmpty: 'Save',
  measured: (what: string) => `Saved: ${what}. The curve follows it.`,
  measureHint: {
    core: 'Into the middle of the middle one. Each reading sharpens the time.',
    surface:
      'At the side of a middle one, from close by and square on, set to an emissivity of 0.95; foil, bare metal and steam between read too cold. Each reading sharpens the time.',
  },
  end: 'It is over',
  endSure: 'Yes, it is over',
  takeBack: 'Take it back',
  takeBackSure: 'Yes, nothing was unloaded',
  callOff: 'Call it off',
  callOffSure: 'Yes, call it off',
  keep: 'No',

  plannedFor: (when: string, room: string) => `Scheduled for ${when}, ${room}`,
  plannedIn: (span: string) => `in ${span}`,
  plannedDue: 'due now',

  guess: (when: string, room: string) => `Looks like a hot load at ${when} in the ${room}: was it?`,
  guessYes: 'Yes, it was',
  guessNo: 'No, something else',
  guessWhat: 'What came in?',
  guessSave: 'Save',
  guessBack: 'Back to the question',
  guessAsked: 'Somebody who may record can answer.',

  past: 'Past unloads',
  pastNone: 'None yet. Each one teaches the next plan.',
  accuracy: (planned: number, inside: number, off: string) =>
    `Of ${times(planned, 'peak that was', 'peaks that were')} foretold, ${inside} lay within the 80 % range; off by ${off} on average.`,
  pastHead: { when: 'When', what: 'What', room: 'Room', peak: 'Peak', error: 'Against plan', who: 'Who' },
  error: (step: string, inside: boolean) => `${step}, ${inside ? 'within its range' : 'outside its range'}`,
  errorUnknown: 'not planned',
  stage: {
    scheduled: 'scheduled',
    underway: 'underway',
    ended: 'ended',
    withdrawn: 'taken back',
  } satisfies Record<UnloadStage, string>,

  missing: (id: string) => `There is no unload ${id} here. It may be of another farm.`,
  toUnloads: 'To the unloads',
  report: 'What came of it',
  reportPeak: (temp: string, when: string) => `The room peaked at ${temp} at ${when}.`,
  reportPeakUnknown: 'No sensor told the peak of the room.',
  reportPlanned: (temp: string, low: string, high: string, when: string) =>
    `Expected were ${temp} (${low}–${high}), ${when}.`,
  reportInside: 'It lay within the range.',
  reportOutside: (k: string, above: boolean) =>
    `It lay ${k} ${above ? 'above' : 'below'} the likely peak, outside the range.`,
  reportInoculate: (when: string) => `The core met the inoculation temperature about ${when}.`,
  reportNone: {
    ended: 'No report yet: what came of it is worked out a moment after its end.',
    withdrawn: 'Nothing: it was taken back, and nothing is learned of it.',
  },
  reportDose: 'Heat by batch',
  reportDoseNone: 'Nothing stood there that gained heat.',
  reportHead: { what: 'Batch', shelf: 'Shelf', gained: 'Gained', share: 'Of what it stands' },
  hours: (hours: string) => `${hours} h`,
  taught: 'What it taught of the room',
  taughtNone: 'Nothing that was not known.',
  underwayFor: (from: string, to: string, span: string) => `${from} to ${to}, ${span}`,
  events: 'What happened',
  event: {
    scheduled: (load: string, when: string) => `scheduled: ${load} for ${when}`,
    begun: (load: string, probe: string | null) =>
      probe === null ? `in the room: ${load}` : `in the room: ${load}, probe ${probe} in it`,
    measured: (where: 'core' | 'surface', temp: string) => `${where} measured: ${temp}`,
    ended: (byHand: boolean) => (byHand ? 'ended by hand' : 'ended by itself'),
    withdrawn: () => 'taken back',
    asked: (why: string) => `asked: ${why}`,
    denied: () => 'was no hot load',
    probed: (sensor: string | null) => (sensor === null ? 'probe taken out' : `probe put in: ${sensor}`),
  } satisfies Record<UnloadEventKind, (...parts: never[]) => string>,

  cautions: 'Before anybody lifts',
  caution: {
    steam:
      'Steam and pressure: open a vessel only when its gauge stands at zero, and by its own procedure. Steam burns before it is seen.',
    burns:
      'Burns: above 60 °C a surface burns in moments. Dry heat gloves and sleeves, nothing wet in between.',
    heat: 'Heat on people: a hot, damp room tires faster than one feels. Short turns, water, never alone; out at the first dizziness.',
    wbgtIn: (room: string, temp: string) => `${room} ${temp}`,
    // ISO 7243:2017, annex A, metabolic rate class 2; from memory.
    wbgt: (rooms: string) =>
      `Wet-bulb globe temperature now, estimated after ISO 7243: ${rooms}; nearer to a hot load it is higher. For moderate work its guide is 28 °C for people used to heat and 26 °C for others. Information only.`,
    slip: 'Slipping and lifting: wet floors, rolling carts. Shoes that grip, brakes on, two to a heavy tray.',
    law: 'Advice, not a safety system. Local codes and licensed practice come first.',
  },

  roomPage: {
    link: 'What is known of this room',
    learned: (when: string, days: number) =>
      `Learned ${when} from ${times(days, 'day', 'days')} of readings.`,
    assumedOnly: 'Nothing learned yet: what follows was assumed from its size and its cooler’s plate.',
    words: 'In words',
    figures: 'Figures',
    figureHead: { name: 'What', value: 'Likely', range: 'In 8 of 10 cases', sure: 'Known' },
    sure: 'well',
    unsure: 'not well: assumed as much as learned',
    toShelves: 'Its shelves',
    open: (stage: string, when: string) => `Unload ${stage}, ${when}`,
    residual: (step: string) => `An hour ahead the air is met to within ${step} (one standard deviation).`,
    notes: 'To know',
    unloads: 'Unloads here',
    denied: 'Asked about, and none',
    deniedBy: (who: string, when: string) => `${who} said no ${when}.`,
    takenBack: (when: string, because: string) => `Taken back ${when}: ${because}`,
  },
} as const;

const words = [
  'No',
  'One',
  'Two',
  'Three',
  'Four',
  'Five',
  'Six',
  'Seven',
  'Eight',
  'Nine',
  'Ten',
  'Eleven',
  'Twelve',
];
function numberWord(count: number): string {
  return words[count] ?? String(count);
}

/** `a`, `a and b`, `a, b and c` */
function listed(parts: readonly string[]): string {
  return parts.length < 2 ? (parts[0] ?? '') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}
