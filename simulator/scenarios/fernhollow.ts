import type { Climate } from '../room/weather.ts';
import { fernhollowFarmYaml } from './fernhollow-farm.ts';
import type { PlannedUnload, Scenario } from './scenario.ts';

export const fernhollowClimate: Climate = {
  meanC: 16,
  dayHalfRangeK: 5.5,
  weatherSdK: 3,
  weatherHours: 40,
  moistureGPerKg: 7.5,
  sunOffsetH: 1,
};

export const fernhollowRooms: Scenario['rooms'] = {
  // The steriliser stands behind a wall of the Warm room: without its cooler it grows hot in some hours.
  warm: { heatBelowC: 24.2, coolAboveC: 25.2, change: { standingW: 1_050 } },
  cool: { heatBelowC: 20.4, coolAboveC: 21.4, change: { corridorC: 12 } },
};

/** The farm ran for this long before its sensors were put in, and has been heard since. */
export const unheardDays = 10;
const heardDays = 21;
const unheardH = unheardDays * 24;
const endH = unheardH + heardDays * 24;

/** Steriliser loads that stand in a room overnight until they are cool enough to inoculate. */
const loads: PlannedUnload[] = [
  {
    id: 'load-1',
    room: 'warm',
    count: 60,
    startC: 96.4,
    atH: 3 * 24 + 14.6,
    who: 'Oskar',
    cores: [3.5, 18.4],
  },
  { id: 'load-2', room: 'warm', count: 96, startC: 97.8, atH: 9 * 24 + 15.1, who: 'Ida', cores: [3, 17.9] },
  {
    id: 'load-3',
    room: 'cool',
    count: 44,
    startC: 95.2,
    atH: 16 * 24 + 14.2,
    who: 'Runa',
    cores: [2.5, 6.5, 18.8],
  },
].map(({ cores, ...load }) => ({
  ...load,
  container: 'grain-bag',
  atH: unheardH + load.atH,
  measuredAfterH: cores,
}));

/**
 * A month of Fernhollow that ends now, with the Warm room running warm as one comes in: its
 * thermostat's own sensor has slipped off its clip and reads low.
 */
export const fernhollowHistory: Scenario = {
  id: 'fernhollow',
  name: 'Fernhollow up to now',
  text: 'An ordinary farm: about forty batches of six species, two bad nights, and a room that runs warm now.',
  days: unheardDays + heardDays,
  farmYaml: fernhollowFarmYaml,
  climate: fernhollowClimate,
  rooms: fernhollowRooms,
  roomFaults: [
    {
      room: 'warm',
      what: 'cooling',
      left: 0,
      fromH: unheardH + 142,
      toH: unheardH + 157,
      text: 'The cooler of the Warm room tripped',
    },
    {
      room: 'cool',
      what: 'heating',
      left: 0,
      fromH: unheardH + 338,
      toH: unheardH + 350,
      text: 'The heater of the Cool room was off',
    },
    {
      room: 'cool',
      what: 'door-open',
      fromH: unheardH + 341,
      toH: unheardH + 350,
      text: 'The door of the Cool room stood ajar',
    },
    {
      room: 'warm',
      what: 'thermostat-reads',
      offK: -5.4,
      fromH: endH - 2.5,
      toH: endH + 3,
      text: "The thermostat's sensor in the Warm room reads 5 K low",
    },
  ],
  unloads: loads,
  sensorFaults: [
    {
      sensor: 'shelf-b3',
      fromH: unheardH + 230,
      toH: unheardH + 236,
      text: 'The probe of shelf B3 was unplugged',
    },
  ],
};
