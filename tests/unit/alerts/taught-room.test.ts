import { describe, expect, test } from 'vitest';
import { departurePlan } from '../../../alerts/conditions/departure.ts';
import { notSoonMin, predictedPlan } from '../../../alerts/conditions/predicted.ts';
import type { Signal } from '../../../alerts/conditions/signal.ts';
import type { RoomsKnown } from '../../../shared/room/rooms-known.ts';
import { hourMs, minuteMs } from '../../../shared/time.ts';
import { knows, livedAir, livedFit } from '../../tools/lived-room.ts';

const from = Date.UTC(2026, 4, 4);
const limitC = 26;
const foresees = (known: RoomsKnown | null) =>
  predictedPlan({
    ...({ channel: 'air', side: 'above', name: 'high', limitAt: () => limitC } as const),
    watched: known === null ? undefined : { room: 'lab', outside: ['out'], known },
  }).create();
const departs = (known: RoomsKnown | null) =>
  departurePlan({
    ...({ channel: 'air', side: 'above' } as const),
    watched: known === null ? undefined : { room: 'lab', outside: ['out'], known },
  }).create();

/** Days of mild weather, then the cooler stops. */
const failsAt = from + 50 * hourMs;
const mild = () => 18;
const failure = livedAir({
  ...{ from, minutes: 54 * 60, outsideC: mild },
  cooling: (t) => (t < failsAt ? 1 : 0),
});
const passesAt = failure.find(({ trueC }) => trueC > limitC)!.t;

/** What a signal said, reading by reading. */
function told(signal: Signal, air: typeof failure, outsideC = mild) {
  return air.map(({ t, tempC }, minute) => {
    if (minute % 5 === 0) signal.read('out', t, outsideC());
    const value = signal.read('air', t, tempC);
    return { t, value, detail: signal.detail!(), crosses: signal.outlook?.()?.crosses };
  });
}
const first = (said: ReturnType<typeof told>, holds: (value: number) => boolean) =>
  said.find(({ value }) => value !== null && holds(value))!;
const soon = (minutes: number) => minutes < 75;

describe('a limit foreseen by a room that taught what it is', () => {
  test('is nearer to when it is passed than by the trend, and says who says so', () => {
    const byRoom = first(told(foresees(knows(livedFit)), failure), soon);
    const byTrend = first(told(foresees(null), failure), soon);
    expect(byRoom.detail).toMatch(/ °C now, \d\.\d °C\/h; by what this room has taught of itself$/);
    expect(byTrend.detail).toMatch(/ °C now, \d+\.\d °C\/h; by its trend$/);
    const missMin = ({ crosses }: typeof byRoom) => Math.abs(crosses!.likely - passesAt) / minuteMs;
    expect(missMin(byRoom)).toBeLessThan(0.5 * missMin(byTrend));
    expect(missMin(byRoom)).toBeLessThan(20);
    expect(byRoom.t).toBeLessThan(passesAt - 20 * minuteMs);
  });
  test('the plain trend speaks until something was taught, and of what was learned later nothing is known before', () => {
    const late = told(foresees(knows(livedFit, passesAt)), failure);
    const plain = told(foresees(null), failure);
    expect(late.map(({ value }) => value)).toEqual(plain.map(({ value }) => value));
    const young = told(foresees(knows({ ...livedFit, trainedDays: 3 })), failure);
    expect(young.map(({ value }) => value)).toEqual(plain.map(({ value }) => value));
  });
  test('says nothing of ordinary days, with a door that is open for some minutes in them', () => {
    const open = failure
      .filter(({ t }) => t < failsAt)
      .map((one, minute) => (minute > 2000 && minute < 2006 ? { ...one, tempC: one.tempC + 1.5 } : one));
    const said = told(foresees(knows(livedFit)), open).flatMap(({ value }) => value ?? []);
    expect(said.filter((minutes) => minutes < notSoonMin).length).toBeLessThan(12);
  });
  test('a restart takes up where the walls were', () => {
    const before = foresees(knows(livedFit));
    const past = failure.filter(({ t }) => t < failsAt - 10 * minuteMs);
    told(before, past);
    const after = foresees(knows(livedFit));
    after.keep!.load(before.keep!.save());
    const rest = failure.filter(({ t }) => t >= failsAt - 10 * minuteMs);
    expect(first(told(after, rest), soon).detail).toMatch(/taught of itself$/);
    const anew = foresees(knows(livedFit));
    anew.keep!.load('[[494184,22.1]]');
    expect(told(anew, rest).every(({ detail }) => !detail.includes('taught'))).toBe(true);
  });
});

describe('cooling without effect in a room that taught what it does', () => {
  const beyond = (value: number) => value > 1;
  test('a cooler that stops is told by the room itself', () => {
    const said = first(told(departs(knows(livedFit)), failure), beyond);
    expect(said.t).toBeLessThan(failsAt + 90 * minuteMs);
    expect(said.detail).toMatch(
      /^\d\.\d K warmer than its cooling would keep it by what this room has taught of itself \(2[12]\.\d °C\)$/,
    );
  });
  test('a hot day that is more than the cooler can do is no failure of it, whatever is usual', () => {
    const hotFrom = from + 50 * hourMs;
    const outside = (t: number) => (t < hotFrom ? 18 : 32);
    const air = livedAir({ from, minutes: 60 * 60, outsideC: outside });
    const signals = [departs(knows(livedFit)), departs(null)];
    const [byRoom, byUsual] = signals.map((signal) =>
      air.map(({ t, tempC }) => {
        signal.read('out', t, outside(t));
        return signal.read('air', t, tempC);
      }),
    );
    expect(Math.max(...byUsual!.flatMap((value) => value ?? []))).toBeGreaterThan(1);
    expect(Math.max(...byRoom!.flatMap((value) => value ?? []))).toBeLessThan(1);
  });
  test('a room whose past does not tell what its cooler does keeps to what is usual', () => {
    const untold = knows({ ...livedFit, notIdentified: ['coolingW'] });
    const said = told(departs(untold), failure);
    expect(said.map(({ value }) => value)).toEqual(told(departs(null), failure).map(({ value }) => value));
    expect(first(said, beyond).detail).toMatch(/^\d\.\d K warmer than it usually gets \(22\.\d °C\)$/);
  });
});
