import { describe, expect, it } from 'vitest';
import { thermalOf } from '../../../../shared/heat/container.ts';
import { createLoad } from '../../../../shared/heat/load.ts';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { ownGains, roomRun, settledRoom } from '../../../../shared/room/model.ts';
import { meanRoom } from '../../../../shared/room/room-fit.ts';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { recogniseUnload } from '../../../../shared/unload/recognise.ts';
import { block, surer } from '../../../tools/plan-question.ts';

const from = Date.UTC(2026, 3, 8, 8);
const fit = surer(defaultRoom(20, 3000), 0.2);
const room = meanRoom(fit);
const localHour = (t: number): number => (t % dayMs) / hourMs;
const happensMin = 260;

interface Happening {
  load?: number;
  coolerFails?: boolean;
  doorMin?: number;
  risePerHourK?: number;
}

/** Six hours and a half of a steady room at one minute, in which something happens; noise of a sensor on top. */
function airOf({ load, coolerFails, doorMin = 0, risePerHourK = 0 }: Happening): Float64Array {
  const run = roomRun(room, settledRoom(room, 22.3, 18), 60);
  const own = ownGains(room, true);
  const hot =
    load === undefined
      ? null
      : createLoad({ thermal: thermalOf(block), count: load, startC: 96, filmFactor: 0.6 });
  return Float64Array.from({ length: 390 }, (_, minute) => {
    const after = minute >= happensMin;
    const heatW = after && hot !== null ? hot.step(run.airC, 60) : 0;
    const doorW = after && minute < happensMin + doorMin ? 120 * (33 - run.airC) : 0;
    run.step(
      18,
      own.airW + 0.5 * heatW + doorW,
      own.wallW + 0.5 * heatW,
      after && coolerFails === true ? 0 : 1,
    );
    const drift = after ? ((minute - happensMin) / 60) * risePerHourK : 0;
    return Math.round(10 * (run.airC + drift + 0.05 * Math.sin(12.9898 * minute * minute))) / 10;
  });
}

function asked(airC: Float64Array, afterMin: number, learned = true, everyMin = 1) {
  const kept = airC.filter((_, minute) => minute <= happensMin + afterMin && minute % everyMin === 0);
  return recogniseUnload({
    air: {
      firstT: from,
      stepMs: everyMin * minuteMs,
      airC: kept,
      outsideC: new Float64Array(kept.length).fill(18),
    },
    fit: learned ? fit : undefined,
    localHour,
    now: from + (happensMin + afterMin) * minuteMs,
  });
}

describe('an unload that nobody declared', () => {
  const air = airOf({ load: 250 });
  it.each([1, 5])(
    'is recognised within a quarter of an hour, at its time, from readings each %d min',
    (everyMin) => {
      expect(asked(air, -5, true, everyMin)).toBeNull();
      const seen = asked(air, 15, true, everyMin)!;
      expect(Math.abs(seen.at - from - happensMin * minuteMs)).toBeLessThan(6 * minuteMs);
      expect(seen.why).toMatch(
        /^It looks like a hot load at 12:\d\d: the air rose \d+\.\d K within 5 min, .*\.$/,
      );
    },
  );
  it('stays the same answer while one asks again, and does not need a learned room', () => {
    const first = asked(air, 20)!;
    expect(asked(air, 60)!.at).toBe(first.at);
    expect(asked(air, 110)!.at).toBe(first.at);
    expect(asked(air, 20, false)!.at).toBe(first.at);
  });
  it('is told although readings are missing, or one of them is odd', () => {
    const gaps = air.map((tempC, minute) => (minute % 3 === 1 ? Number.NaN : minute === 100 ? 60 : tempC));
    expect(asked(gaps, 20)).not.toBeNull();
  });
});

describe('what is not an unload', () => {
  const never = (airC: Float64Array, learned = true) => {
    for (const afterMin of [5, 10, 20, 40, 80, 120]) expect(asked(airC, afterMin, learned)).toBeNull();
  };
  it('a room as always', () => never(airOf({})));
  it('a cooler that fails in a room that never swings: nobody is told of a load without the doubt', () => {
    const air = airOf({ coolerFails: true });
    for (const learned of [true, false])
      for (const afterMin of [5, 10, 20, 40, 80, 120]) {
        const seen = asked(air, afterMin, learned);
        if (seen !== null)
          expect(seen).toMatchObject({ orStopped: true, why: expect.stringMatching(/cooler/) });
      }
    expect(asked(air, 40, false)).not.toBeNull();
  });
  it('a warm afternoon', () => never(airOf({ risePerHourK: 1.5 })));
  it('a door that stands open for some minutes on a hot day', () => never(airOf({ doorMin: 4 })));
  it('a single odd reading', () => {
    const air = airOf({});
    air[happensMin + 3] = 45;
    never(air);
  });
  it('a sensor that has told nothing, or for too short a while', () => {
    expect(asked(new Float64Array(0), 0)).toBeNull();
    expect(asked(new Float64Array(390).fill(Number.NaN), 60)).toBeNull();
    const young = airOf({ load: 250 }).map((tempC, minute) =>
      minute < happensMin - 60 ? Number.NaN : tempC,
    );
    expect(asked(young, 20)).toBeNull();
  });
});
