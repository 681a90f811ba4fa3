import { outsidePlace } from '../../../shared/farm/farm.ts';
import type { Sensor } from '../../../shared/farm/schema.ts';
import { type Finding, foundWords } from '../../../shared/problems/explain.ts';
import type { Path } from '../../../shared/problems/walk.ts';

/** A cooler belongs to a room, and a power says nothing of it without the level above which it runs. */
export function checkCooler(path: Path, { at, channels }: Sensor, shelves: ReadonlySet<string>): Finding[] {
  return channels.flatMap((channel, index) => {
    const here = [...path, 'channels', index];
    const isCooler = channel.quantity === 'cooler-on';
    return [
      ...(isCooler && (shelves.has(at) || at === outsidePlace) ? [notInRoom(path, at)] : []),
      ...power(here, channel, isCooler),
      ...(isCooler && channel.unit === 'state' && channel.calibration.length > 0 ? [corrected(here)] : []),
    ];
  });
}

const notInRoom = (path: Path, at: string): Finding => ({
  path: [...path, 'at'],
  place: 'value',
  found: `cooler-on at ${foundWords(at)}`,
  wanted: 'the room that this cooler cools',
  mend: 'set at: to that room; what else the sensor measures becomes a sensor of its own with the same topic',
});

const corrected = (path: Path): Finding => ({
  path: [...path, 'calibration'],
  place: 'key',
  found: 'a calibration of a state',
  wanted: 'none: on and off cannot be corrected',
  mend: 'remove it',
});

function power(
  path: Path,
  { quantity, unit, onAboveW }: Sensor['channels'][number],
  isCooler: boolean,
): Finding[] {
  const needed = isCooler && unit === 'W';
  if (needed === (onAboveW !== undefined)) return [];
  const at = [...path, 'onAboveW'];
  if (needed)
    return [
      {
        ...{ path: at, place: 'parent', found: 'cooler-on in W without onAboveW' },
        wanted: 'the power above which the cooler counts as on',
        mend: 'add onAboveW: with a power between what is measured while it rests and while it runs, such as onAboveW: 150',
      },
    ];
  return [
    {
      ...{ path: at, place: 'key', found: `onAboveW for ${quantity} in ${unit}` },
      wanted: 'none: only cooler-on in W needs it',
      mend: isCooler ? 'remove it, or write unit: W if power is what it sends' : 'remove it',
    },
  ];
}
