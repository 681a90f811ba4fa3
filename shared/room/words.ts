import { lossWPerK, rampS } from './model.ts';
import { type RoomParam, roomParamNames } from './params.ts';
import { type CoolerSignal, drawRooms, meanRoom, type RoomFit } from './room-fit.ts';
import { bagsBesideW } from './with-bags.ts';

/** A figure of a room that a person can judge, with the range in which it lies with 80 % [unit]. */
export interface RoomFigure {
  name: string;
  value: number;
  low: number;
  high: number;
  unit: string;
  /** Its own past tells it; otherwise it is assumed for a room of its size. */
  sure: boolean;
}

export const ownGainsName = 'gains of its own';

const draws = 200;
const seed = 1;

/** Two figures, and no more than one decimal, as one would say them: 2.4, 85, 1,300. */
function rounded(value: number): string {
  const size = Math.abs(value);
  if (size === 0) return '0';
  const step = 10 ** Math.max(-1, Math.floor(Math.log10(size)) - 1);
  return new Intl.NumberFormat('en', { maximumFractionDigits: 1 }).format(Math.round(value / step) * step);
}

const power = (watts: number): string =>
  watts >= 1_000 ? `${rounded(watts / 1_000)} kW` : `${rounded(watts)} W`;

/** `2.4 kW`, `85 W/K`, `22.5 °C`. */
export function spokenFigure({ value, unit }: Pick<RoomFigure, 'value' | 'unit'>): string {
  if (unit === 'W') return power(value);
  return unit === '°C'
    ? `${value.toFixed(1)} °C`
    : unit === 'part'
      ? value.toFixed(2)
      : `${rounded(value)} ${unit}`;
}

/** Air settles behind its walls, and the cooler begins to answer: how long until that is seen [min]. */
const reactsMin = ({ airJPerK, airToStructureWPerK, leakWPerK }: ReturnType<typeof meanRoom>): number =>
  (airJPerK / (airToStructureWPerK + leakWPerK) + rampS / 3) / 60;

/** Figures of a room with their ranges, most telling first. */
export function roomFigures(fit: RoomFit): RoomFigure[] {
  const rooms = drawRooms(fit, draws, seed);
  const untold = new Set(fit.notIdentified);
  const figure = (
    name: string,
    unit: string,
    rests: readonly RoomParam[],
    of: (room: ReturnType<typeof meanRoom>) => number,
  ): RoomFigure => {
    const values = rooms.map(of).sort((a, b) => a - b);
    return {
      ...{ name, unit, value: of(meanRoom(fit)) },
      low: values[Math.floor(0.1 * draws)]!,
      high: values[Math.floor(0.9 * draws)]!,
      sure: rests.some((rest) => !untold.has(rest)),
    };
  };
  return [
    figure(
      'heat lost for each degree over outside',
      'W/K',
      ['structureToOutsideWPerK', 'leakWPerK'],
      lossWPerK,
    ),
    figure('cooling', 'W', ['coolingW'], ({ coolingW }) => coolingW),
    figure('cools above', '°C', ['coolAboveC'], ({ coolAboveC }) => coolAboveC),
    figure('heats below', '°C', ['heatBelowC'], ({ heatBelowC }) => heatBelowC),
    figure(ownGainsName, 'W', ['gainW'], ({ gainW }) => gainW),
    figure('more in working hours', 'W', ['workGainW'], ({ workGainW }) => workGainW),
    figure('reaction of the air', 'min', ['airJPerK', 'airToStructureWPerK'], reactsMin),
    figure(
      'heat stored in walls and racks for each degree',
      'kJ/K',
      ['structureJPerK'],
      ({ structureJPerK }) => structureJPerK / 1_000,
    ),
    figure(
      'heat that a load sheds (1: each container stands free)',
      'part',
      ['filmFactor'],
      ({ filmFactor }) => filmFactor,
    ),
  ];
}

/** How well the cooling is known: per cent of itself, 1 sd. */
function coolingSpread(fit: RoomFit): number {
  const k = roomParamNames.indexOf('coolingW');
  return 100 * Math.expm1(Math.sqrt(fit.covariance[k * roomParamNames.length + k]!));
}

const days = (count: number): string => (Math.round(count) === 1 ? '1 day' : `${Math.round(count)} days`);
/** `19 days, 3 unloads and its cooler's own signal`. */
function teachersOf({ trainedDays, unloads, coolerSignal }: RoomFit): string {
  const all = [
    days(trainedDays),
    ...(unloads === 0 ? [] : [unloads === 1 ? '1 unload' : `${unloads} unloads`]),
    ...(coolerSignal === 'taught' ? ["its cooler's own signal"] : []),
  ];
  return all.length === 1 ? all[0]! : `${all.slice(0, -1).join(', ')} and ${all.at(-1)}`;
}

/** Why a cooler's signal taught nothing, and what to do about it. */
const untaught: Record<Exclude<CoolerSignal, 'taught'>, string> = {
  seldom:
    "Its cooler's own signal taught nothing: it came too seldom to tell when the cooler switched. Let its sensor send at each switching, or every minute.",
  gaps: "Its cooler's own signal taught nothing: it was missing for more than half of this time. See why its sensor is not heard.",
  'air-seldom':
    "Its cooler's own signal taught nothing: in most of this time the air beside it was told less often than every two minutes. Let a sensor of the air send that often.",
  'never-ran': "Its cooler's own signal taught nothing: by it the cooler never ran in this time.",
};

const untaughtBy = ({ coolerSignal }: RoomFit): string[] =>
  coolerSignal === undefined || coolerSignal === 'taught' ? [] : [untaught[coolerSignal]];

/** What parameters mean to a person who asks what is not known. */
const meanings: Partial<Record<RoomParam, string>> = {
  structureJPerK: 'how much heat walls and racks take up',
  airToStructureWPerK: 'how fast heat goes into walls and racks',
  structureToOutsideWPerK: 'how much it loses to outside',
  coolingW: 'how much the cooler can do',
  filmFactor: 'how fast loads shed their heat',
};

/** What a learned room's past leaves open, as one that never left its set-point, in a sentence; none when nothing. */
export function untoldOf(fit: RoomFit): string[] {
  const unknown = fit.notIdentified.flatMap((name) => meanings[name as RoomParam] ?? []);
  return unknown.length === 0
    ? []
    : [`Its past does not tell ${unknown.join(', ')}: that is assumed for a room of its size.`];
}

/** Less is not worth a word [W]. */
const worthSayingW = 1;

/**
 * What bags give to a room, in words: what is beside its own gains, and whether those have it in them. Null where it
 * is nothing.
 */
export function bagsWords(
  fit: Pick<RoomFit, 'bags'>,
  bagsW: number | null | undefined,
): { isBeside: boolean; power: string } | null {
  const isBeside = fit.bags !== undefined;
  const givenW = isBeside ? bagsBesideW(fit, bagsW) : (bagsW ?? 0);
  return givenW < worthSayingW ? null : { isBeside, power: power(givenW) };
}

/**
 * What is known of a room, in sentences: 'Loses 85 W per degree, cooling removes about 2.4 kW, reacts in 12 min;
 * learned from 19 days and 3 unloads, the cooling to within 15 %.' The last is its spread: on that figure unloads hang
 * most.
 * @param bagsW heat that bags give to it now [W]; null where nobody knows
 */
export function roomWords(fit: RoomFit, bagsW: number | null = null): string[] {
  const room = meanRoom(fit);
  const facts =
    `loses ${rounded(lossWPerK(room))} W per degree, cooling removes about ${power(room.coolingW)}, ` +
    `reacts in ${rounded(reactsMin(room))} min`;
  if (fit.trainedDays === 0)
    return [`A room of this size ${facts}; assumed, nothing was learned yet.`, ...fit.notes];
  const sure = Math.max(5, 5 * Math.round(coolingSpread(fit) / 5));
  const bags = bagsWords(fit, bagsW);
  const among = bags?.isBeside === false ? ', the heat of bags among them' : '';
  const sentences = [
    `${facts[0]!.toUpperCase()}${facts.slice(1)}; learned from ${teachersOf(fit)}, the cooling to within ${sure} %.`,
    `Holds ${room.coolAboveC.toFixed(1)} °C where it cools and ${room.heatBelowC.toFixed(1)} °C where it heats; ` +
      `its own gains are about ${power(room.gainW)}, ${power(room.gainW + room.workGainW)} in working hours${among}.`,
    ...(bags?.isBeside ? [`Bags give about ${bags.power} now, as far as their growth is known.`] : []),
  ];
  return [...sentences, ...untaughtBy(fit), ...untoldOf(fit), ...fit.notes];
}
