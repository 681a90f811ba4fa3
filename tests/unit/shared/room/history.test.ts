import { expect, it } from 'vitest';
import { filmFactorRange } from '../../../../shared/heat/film.ts';
import { courseOf } from '../../../../shared/room/course.ts';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { gridOf, type RoomHistory, stepsPerBin } from '../../../../shared/room/history.ts';
import { filmPlace, type LoadTable } from '../../../../shared/room/load-table.ts';
import { meanRoom } from '../../../../shared/room/room-fit.ts';
import { minuteMs } from '../../../../shared/time.ts';

const history = (airC: ArrayLike<number>): RoomHistory => ({
  ...{
    from: Date.UTC(2026, 2, 2),
    stepMs: minuteMs,
    airC,
    outsideC: null,
    bagsW: null,
    coolerOn: null,
    loads: [],
  },
  localHour: () => 12,
});

it('leaves out swings in the last minutes, which fill no bin', () => {
  // Air that swings every six minutes, for some whole stretches and one that begins behind the last quarter of an hour.
  const swing = (minute: number) => Math.abs(((minute + 3) % 6) - 3) / 3;
  const airC = Array.from({ length: 9 * 15 + 14 }, (_, i) => 22 + (i < 12 ? 0 : swing(i)));
  const { duties, steps } = gridOf(history(airC));
  expect(steps).toBe(9 * stepsPerBin);
  expect(duties.length).toBeGreaterThan(3);
  for (const { from, to } of duties) {
    expect(from).toBeLessThan(to);
    expect(to).toBeLessThanOrEqual(steps);
  }
});

it('a load that gives at one film and takes at the next radiates no more than it gives', () => {
  const grid = gridOf(history(new Float64Array(90).fill(22)));
  const room = meanRoom(defaultRoom(10));
  const { first, weights } = filmPlace(room.filmFactor);
  const below = weights.indexOf(Math.max(...weights));
  const rows = (at: number, others: number) =>
    Array.from({ length: 6 }, (_, k) => new Float64Array([k === first + below ? at : others]));
  const part = 1 - weights[below]!;
  expect(room.filmFactor).toBeLessThan(filmFactorRange.high);
  // Between the two films all but nothing is given, of which radiation would be hundreds of times as much.
  const table: LoadTable = {
    ...{ first: 0, heatW: rows(90, (0.001 - 90 * (1 - part)) / part), radiantW: rows(20, -60) },
    skinC: rows(23, 23),
    ...{ perHeatW: rows(200, 200), perConductionW: rows(0, 0), cores: [] },
  };
  const outside = { meanC: 15, swingK: 5 };
  const plain = courseOf(room, outside, grid, []);
  const loaded = courseOf(room, outside, grid, [table]);
  expect(Math.abs(loaded.binC[0]! - plain.binC[0]!)).toBeLessThan(0.02);
});
