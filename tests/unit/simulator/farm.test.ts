import { expect, it } from 'vitest';
import { loadFarmFile } from '../../../collector/farm/load.ts';
import { builtInSpecies } from '../../../shared/growth/species.ts';
import { fernhollowHistory } from '../../../simulator/scenarios/fernhollow.ts';
import { farmOf } from '../../../simulator/scenarios/scenario.ts';
import { trainingWeeks } from '../../../simulator/scenarios/weeks.ts';

it.each([fernhollowHistory, ...trainingWeeks].map((scenario) => [scenario.id, scenario] as const))(
  'the farm of %s is a farm file without a fault, and its failures name what is there',
  (_, scenario) => {
    const loaded = loadFarmFile(scenario.farmYaml, 'fernhollow.yaml', builtInSpecies);
    expect(loaded).toMatchObject({ ok: true });
    const farm = farmOf(scenario);
    const rooms = farm.rooms.map(({ id }) => id);
    expect(Object.keys(scenario.rooms).sort()).toEqual([...rooms].sort());
    for (const fault of scenario.roomFaults) {
      expect(rooms).toContain(fault.room);
      expect(fault.toH).toBeGreaterThan(fault.fromH);
    }
    for (const fault of scenario.sensorFaults)
      expect(farm.sensors.map(({ id }) => id)).toContain(fault.sensor);
  },
);

it('Fernhollow speaks every decoder and several units, some with a time of their own', () => {
  const { sensors } = farmOf(fernhollowHistory);
  expect(sensors.length).toBeGreaterThanOrEqual(10);
  expect(new Set(sensors.map(({ decoder }) => decoder))).toEqual(new Set(['plain', 'json']));
  const units = new Set(sensors.flatMap(({ channels }) => channels.map(({ unit }) => unit)));
  for (const unit of ['degC', 'degF', 'K', '%', 'fraction'] as const) expect(units).toContain(unit);
  expect(sensors.some(({ timePointer }) => timePointer !== undefined)).toBe(true);
});

it('says where a scenario’s farm file is wrong', () => {
  expect(() => farmOf({ id: 'bent', farmYaml: 'site: { id: x, name: X }\nrooms: []' })).toThrow(
    /scenario bent is wrong at site\/timeZone/,
  );
});
