import { describe, expect, it } from 'vitest';
import { defaultRoom } from '../../../../shared/room/default-room.ts';
import { fitRoom } from '../../../../shared/room/fit-room.ts';
import type { RoomHistory } from '../../../../shared/room/history.ts';
import { ownGains, roomRun } from '../../../../shared/room/model.ts';
import type { RoomParams } from '../../../../shared/room/params.ts';
import { isWorkingHour, meanRoom, roomFit } from '../../../../shared/room/room-fit.ts';
import { bagsBesideW } from '../../../../shared/room/with-bags.ts';
import { normalDraws } from '../../../../shared/stats/normal-draws.ts';
import { hourMs, minuteMs } from '../../../../shared/time.ts';

const prior = defaultRoom(20, 2_500, { setC: 22 });
const lived: RoomParams = {
  ...meanRoom(prior),
  ...{ gainW: 500, workGainW: 90, coolAboveC: 22.4, heatBelowC: 20.3, bandK: 0.7, structureJPerK: 2.6e6 },
};
const days = 20;
const stepMin = 5;
/** None for four days, 800 W in the middle of the record, none at its end [W]. */
const trueW = (day: number): number =>
  day < 4 ? 0 : day < 9 ? 160 * (day - 4) : day < 13 ? 800 : Math.max(0, 800 - 200 * (day - 13));
/** Bags give a quarter more than is told of them. */
const toldW = (day: number): number => trueW(day) / 1.25;

function record(): RoomHistory {
  const steps = (days * 24 * 60) / stepMin;
  const normal = normalDraws(11);
  const run = roomRun(lived, { airC: 22, structureC: 22 }, stepMin * 60);
  const airC = new Float64Array(steps);
  const outsideC = new Float64Array(steps);
  for (let step = 0; step < steps; step++) {
    const t = step * stepMin * minuteMs;
    const hour = (t / hourMs) % 24;
    outsideC[step] = 13 + 5 * Math.cos(((hour - 15) / 12) * Math.PI) + 4 * Math.sin(t / (29 * hourMs));
    const own = ownGains(lived, isWorkingHour(hour));
    run.step(outsideC[step]!, own.airW + trueW(t / (24 * hourMs)), own.wallW, 1);
    airC[step] = run.airC + 0.05 * normal();
  }
  return {
    ...{ from: 0, stepMs: stepMin * minuteMs, airC, outsideC, coolerOn: null, loads: [] },
    bagsW: airC.map((_, step) => toldW((step * stepMin) / (24 * 60))),
    localHour: (t) => (t / hourMs) % 24,
  };
}

describe('a room in which bags came and went', () => {
  const history = record();
  const apart = fitRoom(history, prior);
  const among = fitRoom({ ...history, bagsW: null }, prior);

  it('is learned with gains of its own nearer to what they are, by more than half', () => {
    const missW = (fit: typeof apart) => Math.abs(meanRoom(fit).gainW - lived.gainW);
    expect(missW(apart)).toBeLessThan(0.5 * missW(among));
  });
  it('tells by how much bags differ from what is told of them, and that there were none at its end', () => {
    expect(apart.bags!.factor).toBeGreaterThan(1.12);
    expect(apart.bags!.factor).toBeLessThan(1.4);
    expect(apart.bags!.endW).toBe(0);
    expect(bagsBesideW(apart, 200)).toBeCloseTo(200 * apart.bags!.factor, 9);
    expect(roomFit.parse(JSON.parse(JSON.stringify(apart)))).toEqual(apart);
  });
  it('leaves less unexplained', () => {
    expect(apart.residual.sdK).toBeLessThan(among.residual.sdK);
  });
  it('without anything told of bags is learned as ever, and says nothing of them', () => {
    expect('bags' in among).toBe(false);
    expect(roomFit.parse(JSON.parse(JSON.stringify(among)))).toEqual(among);
  });
});
