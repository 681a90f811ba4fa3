import type { Finding } from '../../../shared/problems/explain.ts';
import type { Path } from '../../../shared/problems/walk.ts';
import { each } from './each.ts';

const rising = ['lowLow', 'low', 'high', 'highHigh'] as const;
type Key = (typeof rising)[number] | 'deadband';
/** The numbers of a band, whatever else is wrong with it. */
type Band = { path: Path; value: Partial<Record<Key, number>> };

function bandAt(path: Path, value: unknown): Band {
  const numbers = Object.entries(value ?? {}).filter(([, item]) => Number.isFinite(item));
  return { path, value: Object.fromEntries(numbers) };
}

const places = ['rooms/*/limits', 'rooms/*/racks/*/shelves/*/limits'];

/** Limits that could never raise an alarm, never clear one, or contradict each other. */
export function checkLimits(raw: unknown): Finding[] {
  const limits = places.flatMap((place) => each(raw, place));
  return limits.flatMap(({ path, value }) =>
    Object.entries(isGroup(value) ? value : {}).flatMap(([quantity, given]) => {
      const band = bandAt([...path, quantity], given);
      return [...order(band), ...deadband(band), ...(quantity === 'humidity' ? percent(band) : [])];
    }),
  );
}

const isGroup = (value: unknown): value is object =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

function order({ path, value }: Band): Finding[] {
  const given = rising.filter((name) => value[name] !== undefined);
  return given.slice(1).flatMap((upper, index): Finding[] => {
    const lower = given[index]!;
    if (value[lower]! < value[upper]!) return [];
    return [
      {
        path: [...path, upper],
        place: 'value',
        found: `${upper} ${value[upper]} with ${lower} ${value[lower]}`,
        wanted: `${lower} below ${upper}`,
        mend: 'swap or correct the two',
      },
    ];
  });
}

/** The widest deadband still clears: an alarm clears only past limit -/+ deadband, within the band. */
function deadband({ path, value }: Band): Finding[] {
  const { deadband: width, low, high } = value;
  if (width === undefined || low === undefined || high === undefined || high <= low || width < high - low)
    return [];
  return [
    {
      path: [...path, 'deadband'],
      place: 'value',
      found: `a deadband of ${width} in a band of ${Number((high - low).toFixed(6))}`,
      wanted: 'one narrower than high minus low, or an alarm never clears',
      mend: `use about ${Number(((high - low) / 20).toPrecision(2))}`,
    },
  ];
}

function percent({ path, value }: Band): Finding[] {
  return rising
    .filter((name) => value[name] !== undefined && (value[name]! < 0 || value[name]! > 100))
    .map((name) => ({
      path: [...path, name],
      place: 'value',
      found: `${name} ${value[name]}`,
      wanted: 'relative humidity from 0 to 100 %',
      mend: 'correct it',
    }));
}
