import type { Priority } from '../../shared/alarms.ts';
import type { LimitBand } from '../../shared/farm/limits-schema.ts';
import { factsOf, type Measure, type Side } from '../measures.ts';

/** What a condition says and asks when the farm file says nothing else. Times in minutes. */
export interface Counsel {
  priority: Priority;
  consequence: string;
  advice: string;
  respondWithinMin: number;
}

const temperature: Record<Side, Counsel> = {
  high: {
    priority: 2,
    consequence: 'Bags make heat of their own: their cores run up to 3 K above the air, and growth stops.',
    advice: 'Check that cooling runs and doors are shut; spread or move the bags on the warmest shelf.',
    respondWithinMin: 60,
  },
  'high-high': {
    priority: 1,
    consequence: 'Cores reach temperatures that harm mycelium within hours.',
    advice:
      'Go now: restore cooling or open the room to cooler air, then move bags out, warmest shelf first.',
    respondWithinMin: 20,
  },
  low: {
    priority: 3,
    consequence: 'Growth slows: ready dates move later by days.',
    advice: 'Check that heating runs, and that doors and vents are shut.',
    respondWithinMin: 240,
  },
  'low-low': {
    priority: 2,
    consequence: 'Growth stops, and cultures that mind the cold may be lost.',
    advice: 'Restore heating, or move the bags to a warmer room.',
    respondWithinMin: 60,
  },
};

const humidity: Record<Side, Counsel> = {
  high: {
    priority: 3,
    consequence: 'Water condenses on bags and filter patches, and moulds follow.',
    advice: 'Run the extractor or dehumidifier; look for wet filter patches and a leak.',
    respondWithinMin: 480,
  },
  'high-high': {
    priority: 2,
    consequence: 'Wet filter patches let contamination through.',
    advice: 'Dry the room today; look for standing water, and set bags with wet patches aside.',
    respondWithinMin: 120,
  },
  low: {
    priority: 3,
    consequence: 'Grain dries through the filter patches, slowly.',
    advice: 'Humidify, or shorten the time that air is exchanged.',
    respondWithinMin: 480,
  },
  'low-low': {
    priority: 2,
    consequence: 'Grain dries out, and the last of each bag stays uncolonized.',
    advice: 'Humidify the room today; check that no vent or heater has stuck on.',
    respondWithinMin: 240,
  },
};

const other: Record<Side, Counsel> = {
  high: {
    priority: 3,
    consequence: 'Conditions leave the range that this room is kept in.',
    advice: 'Look at the room and its equipment.',
    respondWithinMin: 240,
  },
  'high-high': {
    priority: 2,
    consequence: 'Conditions are far outside the range that this room is kept in.',
    advice: 'Go and look at the room and its equipment.',
    respondWithinMin: 60,
  },
  low: {
    priority: 3,
    consequence: 'Conditions leave the range that this room is kept in.',
    advice: 'Look at the room and its equipment.',
    respondWithinMin: 240,
  },
  'low-low': {
    priority: 2,
    consequence: 'Conditions are far outside the range that this room is kept in.',
    advice: 'Go and look at the room and its equipment.',
    respondWithinMin: 60,
  },
};

const battery: Record<Side, Counsel> = {
  ...other,
  low: {
    priority: 3,
    consequence: 'The sensor will fall silent, usually within weeks.',
    advice: 'Put in a fresh battery at the next round.',
    respondWithinMin: 10_080,
  },
  'low-low': {
    priority: 3,
    consequence: 'The sensor will fall silent, usually within days, and its readings may be off.',
    advice: 'Put in a fresh battery today.',
    respondWithinMin: 1_440,
  },
};

const core: Record<Side, Counsel> = {
  ...temperature,
  high: {
    ...temperature.high,
    consequence: 'Growth stops inside these bags, and heat builds up faster than the room shows.',
    advice: 'Spread these bags out and give them air; check that cooling runs.',
  },
};

const byMeasure: Partial<Record<Measure, Record<Side, Counsel>>> = {
  temperature,
  humidity,
  battery,
  core,
  'probe-temperature': core,
};

export const limitCounsel = (measure: Measure, side: Side): Counsel => (byMeasure[measure] ?? other)[side];

export const sensorCounsel: Counsel = {
  priority: 3,
  consequence:
    'Limits and forecasts there rest on a value that may be wrong; it is marked, and feeds no forecast.',
  advice: 'Compare it with a thermometer you trust; clean, re-place or change it, and enter a calibration.',
  respondWithinMin: 1_440,
};

export const silenceCounsel: Counsel = {
  priority: 3,
  consequence: 'Nobody knows the air there; forecasts go on from what neighbours say, with less certainty.',
  advice: 'Check its power or battery, its place and its radio; look at the room until it speaks again.',
  respondWithinMin: 240,
};

/** Of a sensor that tells whether a cooler runs, and of nothing else. */
export const coolerCounsel: Counsel = {
  priority: 3,
  consequence:
    'The room is watched as before, but learned from its air alone: what a hot load does is known less well.',
  advice:
    'Check whether it still has power and radio, and what it sends. Wires of the cooler are for a licensed electrician.',
  respondWithinMin: 1_440,
};

/**
 * Limits of a room whose farm file gives none for temperature [°C]. Assumed, from common practice: labs
 * are kept at 27-32 °C at most, and no culture of the built-in table grows well below 10 °C.
 */
export const assumedTemperature: LimitBand = { low: 10, high: 30, highHigh: 35 };

/** Battery charge [%] at which a sensor is to be looked after; common practice, no source. */
export const assumedBattery: LimitBand = { low: 20, lowLow: 8, deadband: 5 };

/**
 * 1 % of the normal operating range (common practice after ISA-18.2), not below what a sensor resolves, and
 * never so wide that an alarm could not clear within a narrow band.
 */
export function defaultDeadband(measure: Measure, { low, high }: LimitBand): number {
  const { resolution, usualRange } = factsOf(measure);
  const range = low !== undefined && high !== undefined ? high - low : usualRange;
  return Math.min(Math.max(resolution, 0.01 * range), range / 4);
}

export const defaultDelayS = 60;
/** A working day: who shelves for longer wants another limit, or out of service. */
export const defaultShelveCapMin = 480;
/** An acknowledged alarm of this priority rings again after so many minutes; null: never. */
export const defaultReAlarmMin: Record<Priority, number | null> = { 1: 60, 2: 240, 3: null };
