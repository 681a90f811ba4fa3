import { parse } from 'yaml';
import { AppError } from '../../shared/errors.ts';
import { type FarmFile, farmFile } from '../../shared/farm/schema.ts';
import type { RoomFault } from '../room/faults.ts';
import type { RoomTruth } from '../room/room-truth.ts';
import type { Climate } from '../room/weather.ts';

/** A sensor that says nothing for a while; hours count from the scenario's start. */
export interface SensorFault {
  sensor: string;
  fromH: number;
  toH: number;
  text: string;
}

/** A hot load that the farm brings in; hours count from the scenario's start. */
export interface PlannedUnload {
  id: string;
  room: string;
  container: string;
  count: number;
  startC: number;
  atH: number;
  who: string;
  /** A core is measured so long after it came in; at the last of them it is carried off to be inoculated. */
  measuredAfterH: readonly number[];
}

/** A stretch of a farm's life, as data. */
export interface Scenario {
  id: string;
  name: string;
  text: string;
  days: number;
  farmYaml: string;
  climate: Climate;
  /** By room id: the band that its thermostat keeps, and what differs from a middling room. */
  rooms: Record<string, { heatBelowC: number; coolAboveC: number; change?: Partial<RoomTruth> }>;
  roomFaults: RoomFault[];
  sensorFaults: SensorFault[];
  /** Hot loads that the farm brings in. */
  unloads?: PlannedUnload[];
}

/** Reads a scenario's own farm file. Throws AppError 'farm-file' when it does not fit the schema. */
export function farmOf(scenario: Pick<Scenario, 'id' | 'farmYaml'>): FarmFile {
  const result = farmFile.safeParse(parse(scenario.farmYaml));
  if (result.success) return result.data;
  const first = result.error.issues[0]!;
  throw new AppError(
    'farm-file',
    `The farm file of scenario ${scenario.id} is wrong at ${first.path.join('/')}: ${first.message}.`,
  );
}
