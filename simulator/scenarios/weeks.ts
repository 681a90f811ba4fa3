import { fernhollowClimate, fernhollowRooms } from './fernhollow.ts';
import { fernhollowFarmYaml } from './fernhollow-farm.ts';
import type { Scenario } from './scenario.ts';

/** Days of stock-building before a training week begins: the shelves are not empty on Monday morning. */
export const leadInDays = 12;
const weekStartH = leadInDays * 24;

const fernhollow = {
  days: 7,
  farmYaml: fernhollowFarmYaml,
  climate: fernhollowClimate,
  rooms: fernhollowRooms,
  sensorFaults: [],
};

const quiet: Scenario = {
  ...fernhollow,
  id: 'quiet',
  name: 'A quiet week',
  text: 'Nothing breaks. Shake, use and move bags when they are due.',
  roomFaults: [],
};

const coolingFailsAtNight: Scenario = {
  ...fernhollow,
  id: 'cooling-fails-at-night',
  name: 'Cooling fails at night',
  text: 'Warm days, and on one night the cooler of the Warm room stops. Who notices, and when?',
  climate: { ...fernhollowClimate, meanC: 22, dayHalfRangeK: 6, weatherSdK: 1.5 },
  roomFaults: [
    {
      room: 'warm',
      what: 'cooling',
      left: 0,
      fromH: weekStartH + 2 * 24 + 21.5,
      toH: weekStartH + 3 * 24 + 10,
      text: 'The cooler of the Warm room stopped',
    },
  ],
};

export const trainingWeeks: readonly Scenario[] = [quiet, coolingFailsAtNight];
