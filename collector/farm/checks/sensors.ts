import { type Calibration, type Sensor, sensor as sensorSchema } from '../../../shared/farm/schema.ts';
import { type Finding, foundWords } from '../../../shared/problems/explain.ts';
import type { Path } from '../../../shared/problems/walk.ts';
import { unitsOf } from '../../../shared/units/convert.ts';
import { checkCooler } from './cooler.ts';
import { eachText, eachValid } from './each.ts';
import { pointerTrouble, topicTrouble } from './topics.ts';

/** Topics, pointers, units and corrections of sensors. */
export function checkSensors(raw: unknown): Finding[] {
  const sources = new Map<string, string>();
  const rooms = new Set(eachText(raw, 'rooms/*/id').map(({ value }) => value));
  const shelves = new Set(eachText(raw, 'rooms/*/racks/*/shelves/*/id').map(({ value }) => value));
  return [
    ...eachText(raw, 'sensors/*/topic').flatMap(({ path, value }) =>
      troubled(path, value, topicTrouble(value)),
    ),
    ...['sensors/*/timePointer', 'sensors/*/channels/*/pointer'].flatMap((pattern) =>
      eachText(raw, pattern).flatMap(({ path, value }) => troubled(path, value, pointerTrouble(value))),
    ),
    ...eachValid(raw, 'sensors/*', sensorSchema).flatMap(({ path, value }) => [
      ...decoding(path, value),
      ...sameSource(path, value, sources),
      ...inBag(path, value, shelves),
      ...inLoads(path, value, rooms),
      ...checkCooler(path, value, shelves),
      ...value.channels.flatMap((channel, index) => {
        const at = [...path, 'channels', index];
        return [...unit(at, channel), ...calibrations(at, channel.calibration)];
      }),
    ]),
  ];
}

function troubled(
  path: Path,
  value: string,
  trouble: { wanted: string; mend: string } | undefined,
): Finding[] {
  return trouble === undefined ? [] : [{ path, place: 'value', found: foundWords(value), ...trouble }];
}

function decoding(path: Path, { decoder, channels, timePointer }: Sensor): Finding[] {
  const findings: Finding[] = [];
  const add = (steps: Path, found: string, wanted: string, mend: string) =>
    findings.push({ path: [...path, ...steps], place: 'key', found, wanted, mend });
  if (decoder === 'plain') {
    const json = 'remove it, or set decoder: json';
    channels.forEach(({ pointer }, index) => {
      if (pointer !== undefined)
        add(
          ['channels', index, 'pointer'],
          'a pointer on a plain sensor',
          'none: the whole message is the number',
          json,
        );
    });
    if (timePointer !== undefined)
      add(['timePointer'], 'a timePointer on a plain sensor', 'none: the whole message is the number', json);
    if (channels.length > 1)
      add(
        ['channels'],
        `${channels.length} channels on a plain sensor`,
        'one, as a plain message is one number',
        'give each its own sensor and topic, or set decoder: json with a pointer each',
      );
  }
  const seen = new Set<string>();
  channels.forEach(({ quantity, pointer }, index) => {
    if (seen.has(quantity))
      add(
        ['channels', index, 'quantity'],
        `${quantity} twice in one sensor`,
        'each quantity once',
        'make the second a sensor of its own with the same topic',
      );
    seen.add(quantity);
    if (decoder === 'json' && pointer === undefined && channels.length > 1)
      findings.push({
        path: [...path, 'channels', index, 'pointer'],
        place: 'parent',
        found: `no pointer for ${quantity}`,
        wanted: 'where in the message each of several values stands',
        mend: `add pointer: with a JSON Pointer such as /${quantity}`,
      });
  });
  return findings;
}

/** The same place in the same message twice: nearly always a copied sensor whose topic was not changed. */
function sameSource(path: Path, { id, topic, channels }: Sensor, sources: Map<string, string>): Finding[] {
  return channels.flatMap(({ pointer }, index): Finding[] => {
    const source = JSON.stringify([topic, pointer ?? '']);
    const other = sources.get(source);
    if (other === undefined) sources.set(source, id);
    if (other === undefined || other === id) return [];
    return [
      {
        path: pointer === undefined ? [...path, 'topic'] : [...path, 'channels', index, 'pointer'],
        place: 'value',
        found: `${foundWords(pointer ?? topic)}, which sensor ${other} reads too`,
        wanted: 'one sensor for each value',
        mend: 'correct the topic or pointer of one of them',
      },
    ];
  });
}

/** A probe in a bag needs a probe, and a shelf where the bag stands. */
function inBag(path: Path, { inBag: bag, channels, at }: Sensor, shelves: ReadonlySet<string>): Finding[] {
  if (bag === undefined) return [];
  const findings: Finding[] = [];
  const add = (found: string, wanted: string, mend: string) =>
    findings.push({ path: [...path, 'inBag'], place: 'key', found, wanted, mend });
  if (!channels.some(({ quantity }) => quantity === 'probe-temperature'))
    add(
      'inBag on a sensor without a probe',
      'a channel of quantity probe-temperature',
      'name its quantity probe-temperature, or remove inBag',
    );
  if (!shelves.has(at))
    add(`inBag at ${foundWords(at)}`, 'the shelf on which that bag stands', 'set at: to its shelf');
  return findings;
}

/** A probe for hot loads needs a probe, and the room in which they cool; it cannot stand in a bag as well. */
function inLoads(
  path: Path,
  { inLoads: given, inBag: bag, channels, at }: Sensor,
  rooms: ReadonlySet<string>,
) {
  if (given !== true) return [];
  const findings: Finding[] = [];
  const add = (found: string, wanted: string, mend: string) =>
    findings.push({ path: [...path, 'inLoads'], place: 'key', found, wanted, mend });
  if (!channels.some(({ quantity }) => quantity === 'probe-temperature'))
    add(
      'inLoads on a sensor without a probe',
      'a channel of quantity probe-temperature',
      'name its quantity probe-temperature, or remove inLoads',
    );
  if (!rooms.has(at))
    add(`inLoads at ${foundWords(at)}`, 'the room in which hot loads cool', 'set at: to that room');
  if (bag !== undefined)
    add('inLoads beside inBag', 'one of them', 'remove inBag, or inLoads while the probe stands in a bag');
  return findings;
}

function unit(path: Path, { quantity, unit: given }: Sensor['channels'][number]): Finding[] {
  const fitting = unitsOf(quantity);
  if (fitting.includes(given)) return [];
  const wanted = `a unit of ${quantity}: ${fitting.join(', ')}`;
  return [
    {
      path: [...path, 'unit'],
      place: 'value',
      found: `${given} for ${quantity}`,
      wanted,
      mend: `write ${fitting[0]} if that is what it sends`,
    },
  ];
}

function calibrations(path: Path, entries: readonly Calibration[]): Finding[] {
  return entries.flatMap((entry, index): Finding[] => {
    const at = [...path, 'calibration', index];
    const before = entries[index - 1];
    const findings: Finding[] = [];
    if (before !== undefined && entry.from <= before.from)
      findings.push({
        path: [...at, 'from'],
        place: 'value',
        found: `${entry.from} after ${before.from}`,
        wanted: 'corrections in order of their dates, each date once',
        mend: 'sort them, oldest first',
      });
    if ('points' in entry && entry.points[0][0] === entry.points[1][0])
      findings.push({
        path: [...at, 'points'],
        place: 'value',
        found: `two points as sent at ${entry.points[0][0]}`,
        wanted: 'two different values as sent, each with the true one',
        mend: 'write [[sent, true], [sent, true]], or offset: for a single point',
      });
    return findings;
  });
}
