import { meanOf } from '../../shared/stats/mean.ts';
import { dayMs, type EpochMs, hourMs } from '../../shared/time.ts';
import type { HourOfAir, Moved, Part } from './moved.ts';

/** Days by which a forecast must have moved to be told, and a part of it to be named. */
const worthTellingDays = 0.5;
const worthNamingDays = 0.3;
/** Air this far from what was expected is a cause [K]. */
const oddK = 1;

const numbers = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven'] as const;
const degrees = (tempC: number): string => `${Math.round(tempC)} °C`;
const days = (count: number): string => `${Math.abs(count).toFixed(1)} d`;
const place = (shelf: string | null): string => (shelf === null ? '' : ` on shelf ${shelf}`);

/** Hour of the day, 0-23, at the farm. */
export type HourAt = (t: EpochMs) => number;

export function hourIn(timeZone: string): HourAt {
  const format = new Intl.DateTimeFormat('en-GB', { hour: 'numeric', hourCycle: 'h23', timeZone });
  return (t) => Number(format.format(t));
}

/** Hours in a row, with at most one of another kind between. */
function stretches(hours: readonly HourOfAir[]): HourOfAir[][] {
  const found: HourOfAir[][] = [];
  for (const hour of hours) {
    const last = found.at(-1);
    if (last !== undefined && hour.t - last.at(-1)!.t <= 2 * hourMs) last.push(hour);
    else found.push([hour]);
  }
  return found.filter((stretch) => stretch.length > 1);
}

function airWords(hours: readonly HourOfAir[], hourAt: HourAt): string {
  const cold = hours.filter(({ tempC, expectedC }) => tempC < expectedC - oddK);
  const warm = hours.filter(({ tempC, expectedC }) => tempC > expectedC + oddK);
  const away = (list: readonly HourOfAir[]): number =>
    list.reduce((sum, { tempC, expectedC }) => sum + Math.abs(tempC - expectedC), 0);
  const odd = away(cold) >= away(warm) ? cold : warm;
  const spells = stretches(odd);
  const shelf = hours[0]?.shelf ?? null;
  if (spells.length === 0) {
    const [was, expected] = [
      meanOf(hours.map(({ tempC }) => tempC)),
      meanOf(hours.map(({ expectedC }) => expectedC)),
    ];
    return `air of ${was.toFixed(1)} °C where ${expected.toFixed(1)} °C was expected${place(shelf)}`;
  }
  const all = spells.flat();
  const at = `at ${degrees(meanOf(all.map(({ tempC }) => tempC)))}${place(shelf)}`;
  const isNight = (spell: readonly HourOfAir[]): boolean => {
    const middle = hourAt(spell[Math.floor(spell.length / 2)]!.t);
    return spell.length <= 15 && (middle >= 20 || middle < 8);
  };
  const how = numbers[spells.length] ?? String(spells.length);
  if (spells.every(isNight)) return spells.length === 1 ? `a night ${at}` : `${how} nights ${at}`;
  if (spells.length > 1) return `${how} spells ${at}, ${all.length} h in all`;
  return all.length < 36 ? `${all.length} h ${at}` : `${(all.length / 24).toFixed(1)} days ${at}`;
}

function words(part: Part, hourAt: HourAt): string {
  switch (part.by) {
    case 'air':
      return airWords(part.hours, hourAt);
    case 'move':
      return part.shelf === null ? 'being taken off its shelf' : `the move to shelf ${part.shelf}`;
    case 'shake':
      return 'the shake';
    case 'look':
      return part.judged === null
        ? 'what was seen of bags of the same making'
        : `the look that said ${Math.round(part.judged * 100)} %`;
  }
}

const direction = (count: number): string => (count > 0 ? 'later' : 'sooner');

/** In words and days what moved a forecast; undefined where too little did. */
export function movedWords({ from, to, days: total, parts }: Moved, hourAt: HourAt): string | undefined {
  const named = parts
    .filter((part) => Math.abs(part.days) >= worthNamingDays)
    .sort((a, b) => Math.abs(b.days) - Math.abs(a.days));
  const first = named[0];
  if (first === undefined || Math.abs(first.days) < worthTellingDays) return undefined;
  const span = Math.round((to - from) / dayMs);
  const when = span >= 2 ? `in ${numbers[span]} days` : 'since yesterday';
  if (named.length === 1)
    return `${days(first.days)} ${direction(first.days)} ${when}: ${words(first, hourAt)}.`;
  const list = named.map((part) => `${days(part.days)} ${direction(part.days)} for ${words(part, hourAt)}`);
  return `${days(total)} ${direction(total)} ${when}: ${list.join('; ')}.`;
}
