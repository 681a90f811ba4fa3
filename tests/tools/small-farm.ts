import { buildFarm, type Farm } from '../../shared/farm/farm.ts';
import { type FarmFileInput, farmFile } from '../../shared/farm/schema.ts';

type SensorInput = NonNullable<FarmFileInput['sensors']>[number];

/** A farm of one room with one rack, for tests that need somewhere to hang their sensors. */
export function smallFarm(sensors: SensorInput[], more: Partial<FarmFileInput> = {}): Farm {
  const shelves = [{ id: 'A1' }, { id: 'A2' }];
  const file: FarmFileInput = {
    site: { id: 'test-site', name: 'Test site', timeZone: 'Europe/Berlin' },
    rooms: [{ id: 'warm', name: 'Warm room', racks: [{ id: 'A', shelves }] }],
    sensors,
    ...more,
  };
  return buildFarm(farmFile.parse(file), []);
}
