import fc from 'fast-check';
import { expect, it } from 'vitest';
import { departurePlan } from '../../alerts/conditions/departure.ts';
import { predictedPlan } from '../../alerts/conditions/predicted.ts';
import { defaultRoom } from '../../shared/room/default-room.ts';
import { onwardC } from '../../shared/room/onward.ts';
import { drawRooms, type RoomFit } from '../../shared/room/room-fit.ts';
import { hourMs, minuteMs } from '../../shared/time.ts';
import { knows } from '../tools/lived-room.ts';

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
/** Rooms of any size, drawn as widely as a default allows; taught, whatever they are. */
const fits = fc
  .record({ area: number(1, 200), gain: number(-3, 3), sdK: number(0.05, 3) })
  .map(({ area, gain, sdK }): RoomFit => {
    const fit = defaultRoom(area);
    return {
      ...fit,
      mean: fit.mean.map((value, k) => (k === 5 ? value + gain : value)),
      residual: { sdK, lastsS: 1_800 },
      trainedDays: 9,
      notIdentified: [],
    };
  });
const steps = 48;
const ahead = (outsideC: number, working: boolean) => ({
  stepS: 300,
  outsideC: new Float64Array(steps).fill(outsideC),
  workingNow: working,
  working: Array.from({ length: steps }, (_, k) => (k > 20 ? !working : working)),
});
const runs = { seed: 20_261, numRuns: 60 };

it('air that goes on is finite and possible, whatever the room, its state and its speed', () => {
  fc.assert(
    fc.property(
      fits,
      number(-40, 90),
      number(-40, 90),
      number(-1e6, 1e6),
      number(-60, 60),
      fc.boolean(),
      (fit, airC, structureC, perH, outsideC, working) => {
        for (const room of drawRooms(fit, 4, 1)) {
          for (const value of [room.coolingW, room.heatingW, room.airJPerK, room.structureJPerK])
            expect(value).toBeGreaterThan(0);
          const course = onwardC(room, { airC, structureC }, perH, ahead(outsideC, working));
          expect(Math.min(...course)).toBeGreaterThanOrEqual(-40);
          expect(Math.max(...course)).toBeLessThanOrEqual(90);
        }
      },
    ),
    runs,
  );
});

it('a faster rise is a warmer course, and never falls behind', () => {
  fc.assert(
    fc.property(
      fits,
      number(10, 35),
      number(-3, 3),
      number(-10, 10),
      number(0, 10),
      (fit, airC, overK, perH, more) => {
        const [room] = drawRooms(fit, 2, 1);
        const state = { airC, structureC: airC - overK };
        const slow = onwardC(room!, state, perH, ahead(15, false));
        const fast = onwardC(room!, state, perH + more, ahead(15, false));
        expect(fast.every((tempC, step) => tempC >= slow[step]! - 1e-9)).toBe(true);
      },
    ),
    runs,
  );
});

it('signals of a taught room say finite things of any readings, gaps and leaps included', () => {
  const reading = fc.record({
    gapMin: fc.oneof(number(0.5, 6), number(0.5, 6), number(0.5, 6), number(60, 3_000)),
    tempC: fc.oneof(number(20, 26), number(-40, 90)),
    outsideC: fc.oneof(fc.constant(null), number(-50, 60)),
  });
  fc.assert(
    fc.property(fits, fc.array(reading, { minLength: 50, maxLength: 400 }), (fit, readings) => {
      const watched = { room: 'lab', outside: ['out'], known: knows(fit) };
      const foresees = predictedPlan({
        channel: 'air',
        side: 'above',
        name: 'n',
        limitAt: () => 30,
        watched,
      }).create();
      const departs = departurePlan({ channel: 'air', side: 'below', watched }).create();
      let t = Date.UTC(2026, 4, 4) - (Date.UTC(2026, 4, 4) % hourMs);
      for (const { gapMin, tempC, outsideC } of readings) {
        t += gapMin * minuteMs;
        for (const signal of [foresees, departs]) {
          if (outsideC !== null) expect(signal.read('out', t, outsideC)).toBeNull();
          const value = signal.read('air', t, tempC);
          if (value !== null) expect(Number.isFinite(value)).toBe(true);
          expect(signal.detail!()).not.toMatch(/NaN|undefined/);
        }
        const outlook = foresees.outlook!();
        for (const point of outlook?.points ?? [])
          for (const value of Object.values(point.value)) expect(Number.isFinite(value)).toBe(true);
        if (outlook !== null) expect(outlook.crosses.earliest).toBeLessThanOrEqual(outlook.crosses.latest);
      }
      foresees.keep!.load(foresees.keep!.save());
    }),
    { ...runs, numRuns: 25 },
  );
});
