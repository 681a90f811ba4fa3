import { describe, expect, it } from 'vitest';
import { newestReading, ringingShelves, roomValue, shownAlarms } from '../../../../dashboard/web/climate.ts';
import { fixtureNow, liveAt, warmAlarm } from '../../../browser/fixture/live.ts';

const state = liveAt(fixtureNow, 'warm');
const [warm] = state.farm.rooms;
const air = state.channels['warm-air.temperature']!;

describe('a room’s climate', () => {
  it('is what its own sensors say', () => {
    expect(roomValue(state, warm!, 'temperature')).toMatchObject({
      value: 29.6,
      trust: 'good',
      trendPerH: 2.1,
    });
  });

  it('falls back on the mean of the shelves when the room has no sensor', () => {
    const bare = { ...warm!, channels: [] };
    const value = roomValue(state, bare, 'temperature');
    expect(value?.value).toBeCloseTo((29.9 + 29.2 + 30.4 + 28.7) / 4, 10);
    expect(value?.channels).toHaveLength(4);
  });

  it('says that a value is old when every channel is silent', () => {
    const channels = { ...state.channels, 'warm-air.temperature': { ...air, silent: true } };
    expect(roomValue({ ...state, channels }, warm!, 'temperature')?.trust).toBe('old');
  });

  it('lets a suspect channel speak only when there is no good one', () => {
    const channels = { ...state.channels, 'warm-air.temperature': { ...air, quality: 'suspect' as const } };
    expect(roomValue({ ...state, channels }, warm!, 'temperature')?.trust).toBe('suspect');
    const two = { ...warm!, channels: ['warm-air.temperature', 'shelf-a1.temperature'] };
    expect(roomValue({ ...state, channels }, two, 'temperature')).toMatchObject({
      value: 29.9,
      trust: 'good',
    });
  });

  it('is unknown before the first reading', () => {
    expect(roomValue({ ...state, channels: {} }, warm!, 'humidity')).toBeNull();
    expect(newestReading({})).toBeNull();
  });
});

describe('alarms to be shown', () => {
  const alarm = warmAlarm(fixtureNow);

  it('has what needs a person first, then by priority, then the older one', () => {
    const order = shownAlarms([
      { ...alarm, id: 'acknowledged', state: 'acknowledged', ringing: false, priority: 1 },
      { ...alarm, id: 'low', priority: 3 },
      { ...alarm, id: 'younger', priority: 2, since: 2 },
      { ...alarm, id: 'older', priority: 2, since: 1 },
    ]).map(({ id }) => id);
    expect(order).toEqual(['older', 'younger', 'low', 'acknowledged']);
  });

  it('names the shelf that rings, also by the sensor that set a room’s alarm off', () => {
    const ofRoom = { ...alarm, channel: 'shelf-b1.temperature', shelf: null };
    const ofShelf = { ...alarm, channel: null, shelf: 'D4' };
    const quiet = { ...ofShelf, shelf: 'C1', ringing: false };
    const over = { ...ofShelf, shelf: 'C2', conditionHolds: false };
    expect(ringingShelves([ofRoom, ofShelf, quiet, over, alarm], state.farm.channels)).toEqual(
      new Set(['B1', 'D4']),
    );
  });

  it('leaves out what is normal, shelved, suppressed or out of service', () => {
    const states = ['normal', 'shelved', 'suppressed', 'out-of-service'] as const;
    expect(shownAlarms(states.map((state) => ({ ...alarm, state })))).toEqual([]);
  });
});
