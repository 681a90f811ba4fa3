import type { Finding } from '../../../shared/problems/explain.ts';
import type { Path } from '../../../shared/problems/walk.ts';
import { each } from './each.ts';

const rising = ['lowLow', 'low', 'high', 'highHigh'] as const;
type Key = (typeof rising)[number] | 'deadband';
/** A number of a band, and where it is written. */
interface Written {
  n: number;
  path: Path;
}
/** The numbers of a band, whatever else is wrong with it. */
type Band = Partial<Record<Key, Written>>;

const shelfLimits = 'racks/*/shelves/*/limits';
const measures = 'temperature humidity dew-point vpd co2 pressure probe-temperature core'.split(' ');

/** Values that a measure never leaves. */
const reach: Partial<Record<string, { from: number; to: number; words: string }>> = {
  humidity: { from: 0, to: 100, words: 'relative humidity from 0 to 100 %' },
  co2: { from: 0, to: 100_000, words: 'CO₂ from 0 to 100000 ppm' },
  vpd: { from: 0, to: 12, words: 'a vapour pressure deficit from 0 to 12 kPa' },
  pressure: { from: 30_000, to: 120_000, words: 'a pressure from 30000 to 120000 Pa' },
};

/** Limits that could never raise an alarm, never clear one, or contradict each other. */
export function checkLimits(raw: unknown): Finding[] {
  return measures.flatMap((measure) =>
    each(raw, 'rooms/*').flatMap((room) => {
      const [ofRoom] = within(room, `limits/${measure}`);
      const roomBand = ofRoom ? bandAt(ofRoom) : {};
      return [
        ...(ofRoom ? checkBand(ofRoom, {}, measure) : []),
        // What a shelf does not say, its room says.
        ...within(room, `${shelfLimits}/${measure}`).flatMap((own) => checkBand(own, roomBand, measure)),
      ];
    }),
  );
}

interface Place {
  path: Path;
  value: unknown;
}

const within = ({ path, value }: Place, pattern: string): Place[] =>
  each(value, pattern).map((found) => ({ path: [...path, ...found.path], value: found.value }));

const bandAt = ({ path, value }: Place): Band =>
  Object.fromEntries(
    Object.entries(value ?? {})
      .filter(([, n]) => Number.isFinite(n))
      .map(([key, n]) => [key, { n, path: [...path, key] }]),
  );

/** A band by itself and at each of its times of day; `over` is what holds where it says nothing. */
function checkBand(place: Place, over: Band, measure: string): Finding[] {
  const band = { ...over, ...bandAt(place) };
  const spans = within(place, 'during/*');
  return [
    ...(measure === 'core' ? withoutRate(place) : []),
    // What is wrong without this band is told where it is written.
    ...sound(band, measure).filter(({ path }) => isWithin(path, place.path)),
    ...spans.flatMap((span) => [
      ...sound({ ...band, ...bandAt(span) }, measure).filter(({ path }) => isWithin(path, span.path)),
      ...checkSpan(span),
    ]),
  ];
}

/** Cores are computed each five minutes and follow the air by hours: a rate of theirs would ring late, if ever. */
const withoutRate = ({ path, value }: Place): Finding[] =>
  ['risePerH', 'fallPerH', 'predict']
    .filter((key) => Object.hasOwn((value ?? {}) as object, key))
    .map((key) => ({
      ...{ path: [...path, key], place: 'key', found: `${key} of a core temperature` },
      wanted: 'limits only: cores follow the air by hours',
      mend: `set ${key} on temperature instead`,
    }));

const isWithin = (path: Path, outer: Path) => outer.every((step, index) => path[index] === step);

const sound = (band: Band, measure: string): Finding[] => [
  ...order(band),
  ...deadband(band, measure),
  ...attainable(band, measure),
];

/** Where to point when numbers contradict each other: at the one that was said for the narrowest place and time. */
const narrowest = (...written: Written[]): Path =>
  written.map(({ path }) => path).reduce((found, path) => (path.length > found.length ? path : found));

function order(band: Band): Finding[] {
  const given = rising.filter((name) => band[name] !== undefined);
  return given.slice(1).flatMap((upper, index): Finding[] => {
    const lower = given[index]!;
    const [below, above] = [band[lower]!, band[upper]!];
    if (below.n < above.n) return [];
    return [
      {
        path: narrowest(above, below),
        place: 'value',
        found: `${upper} ${above.n} with ${lower} ${below.n}`,
        wanted: `${lower} below ${upper}`,
        mend: 'swap or correct the two',
      },
    ];
  });
}

/** An alarm ends inside its limit by the deadband: a point that must be left before the other limit, and reachable. */
function deadband(band: Band, measure: string): Finding[] {
  const { deadband: width, low, high } = band;
  if (width === undefined) return [];
  const add = (path: Path, found: string, wanted: string, room: number): Finding => ({
    ...{ path, place: 'value', found, wanted },
    mend: `use a deadband of about ${Number((room / 20).toPrecision(2))}`,
  });
  if (low !== undefined && high !== undefined && high.n > low.n && width.n >= high.n - low.n) {
    const span = Number((high.n - low.n).toFixed(6));
    const wanted = 'one narrower than high minus low, or an alarm never clears';
    return [add(narrowest(width, low, high), `a deadband of ${width.n} in a band of ${span}`, wanted, span)];
  }
  const ends = reach[measure];
  if (ends === undefined) return [];
  return rising.flatMap((name): Finding[] => {
    const level = band[name];
    if (level === undefined || level.n <= ends.from || level.n >= ends.to) return [];
    const above = name.startsWith('high');
    const room = above ? level.n - ends.from : ends.to - level.n;
    if (width.n < room) return [];
    const end = above ? ends.from : ends.to;
    const wanted = `one that leaves room ${above ? 'above' : 'below'} ${end}, or the alarm never clears`;
    return [add(narrowest(width, level), `a deadband of ${width.n} at ${name} ${level.n}`, wanted, room)];
  });
}

/** An alarm comes strictly beyond its limit, so one at the end of what there is never rings. */
function attainable(band: Band, measure: string): Finding[] {
  const ends = reach[measure];
  if (ends === undefined) return [];
  return rising.flatMap((name): Finding[] => {
    const level = band[name];
    if (level === undefined) return [];
    const told = { path: level.path, place: 'value', found: `${name} ${level.n}` } as const;
    if (level.n < ends.from || level.n > ends.to)
      return [{ ...told, wanted: ends.words, mend: 'correct it' }];
    const above = name.startsWith('high');
    if (level.n !== (above ? ends.to : ends.from)) return [];
    const wanted = `a limit that can be passed: nothing is ${above ? 'above' : 'below'} ${level.n}`;
    return [{ ...told, wanted, mend: `${above ? 'lower' : 'raise'} it, or leave it out` }];
  });
}

/** Times of day at which nothing is different, or that have no length. */
function checkSpan({ path, value }: Place): Finding[] {
  const { from, to, ...rest } = (value ?? {}) as Record<string, unknown>;
  if (typeof from === 'string' && from === to)
    return [
      {
        path: [...path, 'to'],
        place: 'value',
        found: `from ${from} to ${to}`,
        wanted: 'a span with a beginning and an end',
        mend: 'write from "00:00" to "24:00" for the whole day',
      },
    ];
  if (typeof value !== 'object' || rising.some((name) => name in rest)) return [];
  return [
    {
      ...{ path, place: 'value', found: 'a time of day without a limit' },
      wanted: 'one of lowLow, low, high, highHigh for that time',
      mend: 'add the limit, or remove the time',
    },
  ];
}
