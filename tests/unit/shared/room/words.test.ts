import { expect, it } from 'vitest';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { roomParamNames, toVector } from '../../../../shared/room/params.ts';
import { meanRoom, type RoomFit } from '../../../../shared/room/room-fit.ts';
import { roomFigures, roomWords } from '../../../../shared/room/words.ts';

const assumed = defaultRoom(18, 2_400);
const learned: RoomFit = {
  ...assumed,
  mean: toVector({
    ...meanRoom(assumed),
    ...{ structureToOutsideWPerK: 80, leakWPerK: 12, airToStructureWPerK: 800, airJPerK: 3.9e5 },
    ...{ coolingW: 2_410, gainW: 640, workGainW: 180, coolAboveC: 25.2, heatBelowC: 24 },
  }),
  covariance: assumed.covariance.map((value) => value * 0.49),
  trainedDays: 19.2,
  unloads: 3,
  notIdentified: ['heatingW', 'filmFactor'],
  notes: ['The door stood open for two days of them.'],
};

it('says what was learned, how sure it is, and what is not known', () => {
  expect(roomWords(learned)).toEqual([
    'Loses 85 W per degree, cooling removes about 2.4 kW, reacts in 12 min; learned from 19 days and 3 unloads, the cooling to within 15 %.',
    'Holds 25.2 °C where it cools and 24.0 °C where it heats; its own gains are about 640 W, 820 W in working hours.',
    'Its past does not tell how fast loads shed their heat: that is assumed for a room of its size.',
    'The door stood open for two days of them.',
  ]);
});

it('says whether its cooler’s own signal taught it, or what to do so that it does', () => {
  const words = (more: Partial<RoomFit>) => roomWords({ ...learned, ...more }).join(' ');
  expect(words({ coolerSignal: 'taught' })).toContain(
    "learned from 19 days, 3 unloads and its cooler's own signal, the cooling to within 15 %.",
  );
  expect(words({ coolerSignal: 'taught', unloads: 0 })).toContain(
    "learned from 19 days and its cooler's own signal, the cooling",
  );
  expect(words({ unloads: 0 })).toContain('learned from 19 days, the cooling');
  expect(words({ coolerSignal: 'seldom' })).toContain(
    'Let its sensor send at each switching, or every minute',
  );
  expect(words({ coolerSignal: 'gaps' })).toContain('See why its sensor is not heard');
  expect(words({ coolerSignal: 'air-seldom' })).toContain('Let a sensor of the air send that often');
  expect(words({ coolerSignal: 'never-ran' })).toContain('the cooler never ran');
  expect(words({})).not.toContain('signal');
});

it('does not say that an assumption was learned', () => {
  const words = roomWords(assumed).join(' ');
  expect(words).toMatch(/^A room of this size loses \d+ W per degree/);
  expect(words).toMatch(/assumed, nothing was learned yet/);
  expect(words).not.toMatch(/learned from|to within/);
});

it('has figures with ranges about them, marked by what the past told', () => {
  for (const { value, low, high } of roomFigures(learned)) {
    expect(low).toBeLessThan(high);
    expect(value).toBeGreaterThan(low);
    expect(value).toBeLessThan(high);
  }
  expect(
    roomFigures(learned)
      .filter(({ sure }) => !sure)
      .map(({ name }) => name),
  ).toEqual(['heat that a load sheds (1: each container stands free)']);
  const nothing = { ...learned, notIdentified: [...roomParamNames] };
  expect(roomFigures(nothing).every(({ sure }) => !sure)).toBe(true);
});
