import { describe, expect, it } from 'vitest';
import { dayMs, hourMs, minuteMs } from '../../../../shared/time.ts';
import { recogniseUnload } from '../../../../shared/unload/recognise.ts';
import { takenBack } from '../../../../shared/unload/taken-back.ts';

const from = Date.UTC(2026, 3, 8, 6);
const localHour = (t: number): number => (t % dayMs) / hourMs;
const happensMin = 400;

/** What acts on the air at a minute, in kelvins that it would bring if it stayed. */
interface Acting {
  own?: (minute: number) => number;
  /** Of what came in, by minutes since. */
  load?: (since: number) => number;
  coolerK?: (minute: number) => number;
  heaterK?: number;
  /** How much too low its thermostat reads, from a minute on [K]. */
  readsLow?: { fromMin: number; byK: number };
}

/**
 * Twelve hours of air behind walls of 18 °C, of first order with seven minutes, with a cooler that starts at 23.2 °C
 * and stops at 20.6, and a heater at 19 and 20; each builds up over 3 min. What a sensor says has 0.1 °C steps.
 */
function airOf({
  own = () => 8,
  load = () => 0,
  coolerK = () => 10,
  heaterK = 8,
  readsLow = { fromMin: Number.POSITIVE_INFINITY, byK: 0 },
}: Acting): Float64Array {
  let airC = 22;
  let [cools, heats, cool, heat] = [false, false, 0, 0];
  const perMin = 1 / 7;
  return Float64Array.from({ length: 720 }, (_, minute) => {
    const heardC = airC - (minute >= readsLow.fromMin ? readsLow.byK : 0);
    if (heardC > 23.2) cools = true;
    if (heardC < 20.6) cools = false;
    if (heardC < 19) heats = true;
    if (heardC > 20) heats = false;
    cool += ((cools ? 1 : 0) - cool) / 3;
    heat += ((heats ? 1 : 0) - heat) / 3;
    const since = minute - happensMin;
    const restC = 18 + own(minute) + (since >= 0 ? load(since) : 0) - cool * coolerK(minute) + heat * heaterK;
    airC += (restC - airC) * perMin;
    return Math.round(10 * (airC + 0.03 * Math.sin(12.9898 * minute * minute))) / 10;
  });
}

function asked(airC: Float64Array, afterMin: number) {
  const kept = airC.subarray(0, happensMin + afterMin + 1);
  return recogniseUnload({
    air: { firstT: from, stepMs: minuteMs, airC: kept, outsideC: new Float64Array(0) },
    localHour,
    now: from + (happensMin + afterMin) * minuteMs,
  });
}

/** Minutes after it came at which it is first asked about, looked at each five; null if never. */
function firstAsked(airC: Float64Array) {
  for (let afterMin = -200; afterMin < 300; afterMin += 5) {
    const seen = asked(airC, afterMin);
    if (seen !== null) return { afterMin, offMin: (seen.at - from) / minuteMs - happensMin, ...seen };
  }
  return null;
}

const fading = (mostK: number) => (since: number) => mostK / (1 + since / 60);

describe('a load in a room whose cooler switches', () => {
  it('that comes as the air falls and that the cooler can just carry off is told by a fall that it holds up, and a weak cooler is named too', () => {
    const seen = firstAsked(airOf({ load: (since) => (since >= 6 && since < 66 ? 4.6 : 0) }))!;
    expect(seen).toMatchObject({ orStopped: true, why: expect.stringMatching(/bring the air down/) });
    expect(seen.why).toMatch(/A cooler that gives little or nothing would do the same\.$/);
    expect(seen.afterMin).toBeLessThan(60);
    expect(Math.abs(seen.offMin)).toBeLessThan(20);
  });
  it('that stays within the swing is told by how much of the time the cooler runs', () => {
    const seen = firstAsked(airOf({ load: () => 2 }))!;
    expect(seen).toMatchObject({
      orStopped: true,
      why: expect.stringMatching(/has run for \d+ % of the time/),
    });
    expect(Math.abs(seen.offMin)).toBeLessThan(25);
    expect(seen.afterMin).toBeLessThan(60);
  });
  it('that held up a fall before the air rose is dated to the fall', () => {
    // Once the cooler rests the air rises faster than ever.
    const seen = firstAsked(airOf({ load: fading(5) }))!;
    expect(Math.abs(seen.offMin)).toBeLessThan(15);
  });
  it('that is too much for it keeps the air past the usual, as a cooler without effect would', () => {
    const large = firstAsked(airOf({ load: fading(14) }))!;
    expect(Math.abs(large.offMin)).toBeLessThan(15);
    const failed = firstAsked(airOf({ coolerK: (minute) => (minute < happensMin ? 10 : 0) }))!;
    expect(failed).toMatchObject({ orStopped: true, why: expect.stringMatching(/has stayed past/) });
  });
});

describe('what a switching room does of itself', () => {
  it('its swings', () => expect(firstAsked(airOf({}))).toBeNull());
  it('an evening in which its cooler comes to rest', () => {
    const evening = (minute: number) => 8 - 6.5 * Math.min(1, Math.max(0, (minute - 300) / 240));
    expect(firstAsked(airOf({ own: evening }))).toBeNull();
  });
  it('a night in which its heater starts', () => {
    const night = (minute: number) => Math.max(0.5, 3 - minute / 150);
    const air = airOf({ own: night });
    expect(Math.max(...air.subarray(400)) - Math.min(...air.subarray(300, 400))).toBeGreaterThan(1);
    expect(firstAsked(air)).toBeNull();
  });
  it('a morning in which its heater rests for longer and longer', () => {
    const morning = (minute: number) => -2 + 2.9 * Math.min(1, Math.max(0, (minute - 300) / 90));
    const air = airOf({ own: morning });
    expect(Math.max(...air.subarray(200))).toBeLessThan(22);
    expect(firstAsked(air)).toBeNull();
  });
  it('a sensor that tells each four minutes only: its pauses make no steps of the swings', () => {
    const sparse = airOf({}).map((tempC, minute) => (minute % 4 === 0 ? tempC : Number.NaN));
    expect(firstAsked(sparse)).toBeNull();
  });
  it('lamps that go on', () => {
    expect(firstAsked(airOf({ own: (minute) => (minute < happensMin ? 8 : 8.3) }))).toBeNull();
  });
});

describe('a thermostat that is set higher, or reads too low', () => {
  const byK = 7;
  const own = () => 14;
  const air = airOf({ own, readsLow: { fromMin: happensMin, byK } });
  it('brings the air up as a load would, until its cooler pauses up there', () => {
    expect(asked(air, 20)).not.toBeNull();
    for (let afterMin = 120; afterMin <= 300; afterMin += 5) expect(asked(air, afterMin)).toBeNull();
  });
  it('as told by a sensor that speaks each four minutes', () => {
    const sparse = air.map((tempC, minute) => (minute % 4 === 0 ? tempC : Number.NaN));
    for (let afterMin = 120; afterMin <= 300; afterMin += 5) expect(asked(sparse, afterMin)).toBeNull();
  });
  it('hides no load that comes on its new level', () => {
    const seen = (fromMin: number) =>
      Array.from({ length: 12 }, (_, k) =>
        asked(airOf({ own, load: fading(16), readsLow: { fromMin, byK } }), 5 * k),
      ).find((one) => one !== null);
    const usual = seen(Number.POSITIVE_INFINITY)!;
    const later = seen(happensMin - 150)!;
    for (const one of [usual, later])
      expect(Math.abs((one.at - from) / minuteMs - happensMin)).toBeLessThan(15);
  });
});

describe('a question that was asked', () => {
  /** What is said of it then, and how long after its coming; null where nothing ever is. */
  function answered(airC: Float64Array) {
    const { at } = firstAsked(airC)!;
    for (let minute = happensMin; minute < airC.length; minute += 5) {
      const [first, now] = [Math.max(0, minute - 480), from + minute * minuteMs];
      const heard = { firstT: from + first * minuteMs, stepMs: minuteMs, outsideC: new Float64Array(0) };
      const why = takenBack({ ...heard, airC: airC.subarray(first, minute + 1) }, at, now);
      if (why !== null) return { why, afterMin: minute - happensMin };
    }
    return null;
  }

  it.each([6, 12, 25])('about a load stays, whatever its size: %d K', (mostK) => {
    expect(answered(airOf({ load: fading(mostK) }))).toBeNull();
  });

  it('is taken back when the room goes on as before: what it was is over', () => {
    const over = answered(airOf({ load: (since) => (since < 25 ? 14 : 0) }))!;
    expect(over.why).toMatch(/gone on as before/);
    expect(over.afterMin).toBeGreaterThan(60);
  });

  it('is taken back when the room swings on a level of its own: that was its thermostat', () => {
    const set = airOf({ own: () => 14, readsLow: { fromMin: happensMin, byK: 7 } });
    expect(answered(set)!.why).toMatch(/higher level/);
  });
});
