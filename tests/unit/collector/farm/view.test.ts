import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { loadFarmFile } from '../../../../collector/farm/load.ts';
import { farmView } from '../../../../collector/farm/view.ts';
import { farmView as schema } from '../../../../shared/live.ts';
import { oyster } from './oyster.ts';

const text = readFileSync(new URL('../../../fixtures/farms/small.yaml', import.meta.url), 'utf8');
const load = loadFarmFile(text, 'farm.yaml', [oyster]);
if (!load.ok) throw new Error('the fixture must be sound');
const view = farmView(load.farm, 3);

describe('the farm as screens draw it', () => {
  it('fits its schema and carries the version', () => {
    expect(schema.strict().parse(view)).toEqual(view);
    expect(view.version).toBe(3);
  });

  it('keeps rooms, racks and shelves in the order of the file, with what hangs where', () => {
    const [warm, cool] = view.rooms;
    expect(warm?.racks[0]?.shelves).toEqual([
      { id: 'A1', places: 9, channels: [] },
      { id: 'A2', places: 8, channels: ['a2-air.temperature'] },
    ]);
    expect(warm?.channels).toEqual(['warm-air.temperature', 'warm-air.humidity']);
    expect(warm?.limits).toEqual({ temperature: { low: 21, high: 28 }, humidity: { low: 40, high: 75 } });
    expect(cool).toMatchObject({ name: 'Cool room', racks: [{ id: 'B', name: 'B' }] });
    expect(cool?.limits.temperature).toEqual({ low: null, high: null });
  });

  it('speaks of every quantity in the unit that values have inside', () => {
    expect(view.channels.find(({ id }) => id === 'a2-air.temperature')).toMatchObject({
      unit: 'degC',
      room: 'warm-room',
      shelf: 'A2',
      everyS: 60,
    });
  });

  it('tells no topic, address, person or name of a secret', () => {
    const told = JSON.stringify(view);
    for (const secret of ['farm/', 'example', 'Ada', 'FARM_MQTT', 'mqtts', 'pointer'])
      expect(told).not.toContain(secret);
  });
});
