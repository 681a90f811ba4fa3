import { describe, expect, it } from 'vitest';
import {
  type DayProfile,
  daysLearned,
  forecastAir,
  learnHour,
  newDayProfile,
  profileAt,
} from '../../../../shared/air/day-profile.ts';
import { coverageBand } from '../../../../shared/stats/coverage.ts';
import { normalCdf } from '../../../../shared/stats/normal.ts';
import { hourMs } from '../../../../shared/time.ts';
import { at, roomHours, type TestRoom, usualC, westOffset } from './room.ts';

const learn = (temperatures: readonly number[], from: DayProfile = newDayProfile(), first = 0): DayProfile =>
  temperatures.reduce(
    (profile, tempC, hour) => learnHour(profile, { t: at(first + hour), tempC }, westOffset),
    from,
  );
const room: TestRoom = { slowK: 0.8, fastK: 0.6, slowHours: 120, fastPerHour: 0.7, hours: 24 * 40, seed: 1 };

/**
 * Share of a room's air that falls in an 80 % interval made for slow departures of five days where theirs last
 * otherwise: the model error that the profile owns up to. Sizes as the room has them.
 */
function coverageOf({ slowK, fastK, slowHours, fastPerHour }: TestRoom, hours: number): number {
  const growth = (slowMemoryHours: number): number =>
    Math.hypot(
      slowK * Math.sqrt(1 - Math.exp((-2 * hours) / slowMemoryHours)),
      fastK * Math.sqrt(1 - fastPerHour ** (2 * hours)),
    );
  return 2 * normalCdf((1.28155 * growth(120)) / growth(slowHours)) - 1;
}

describe('day profile', () => {
  it('knows nothing at first and says so', () => {
    expect(forecastAir(newDayProfile(), at(0), westOffset)).toMatchObject({ meanC: 22 });
    expect(forecastAir(newDayProfile(), at(0), westOffset).sdC).toBeGreaterThanOrEqual(4);
    expect(daysLearned(newDayProfile())).toBe(0);
    expect(forecastAir(newDayProfile({ meanC: 18, sdC: 2 }), at(0), westOffset).meanC).toBe(18);
  });

  it('learns the usual day by the hour of the site, not of Greenwich', () => {
    const profile = learn(roomHours({ ...room, slowK: 0.1, fastK: 0.1 }));
    for (let hour = 0; hour < 24; hour++)
      expect(Math.abs(profileAt(profile, at(24 * 40 + hour), westOffset).meanC - usualC(hour))).toBeLessThan(
        0.2,
      );
  });

  it('after a few hours an hour never seen takes the mean of those seen', () => {
    const profile = learn([20, 21, 22]);
    expect(profileAt(profile, at(10), westOffset).meanC).toBe(21);
    expect(profileAt(profile, at(10), westOffset).sdC).toBeLessThan(2);
  });

  it('starts from the present and relaxes to the usual day, less sure each hour', () => {
    const history = roomHours(room);
    const profile = learn(history);
    const last = 24 * 40 - 1;
    const now = forecastAir(profile, at(last), westOffset);
    expect(Math.abs(now.meanC - history[last]!)).toBeLessThan(0.25);
    let before = 0;
    for (const hours of [0, 1, 3, 6, 12, 24, 72, 240]) {
      // Same hour of the day only, as hours differ in spread.
      const { sdC } = forecastAir(
        { ...profile, hours: profile.hours.map(() => profile.hours[0]!) },
        at(last + hours),
        westOffset,
      );
      expect(sdC).toBeGreaterThan(before);
      before = sdC;
    }
    const far = forecastAir(profile, at(last + 24 * 60), westOffset);
    const usual = profileAt(profile, at(last + 24 * 60), westOffset);
    expect(far.meanC).toBeCloseTo(usual.meanC, 3);
    expect(far.sdC).toBeCloseTo(usual.sdC, 3);
  });

  it('a wild hour does not become usual, a new setting does', () => {
    const quiet = roomHours({ ...room, slowK: 0.2, fastK: 0.2 });
    const before = learn(quiet);
    const spike = learnHour(before, { t: at(24 * 40), tempC: 60 }, westOffset);
    expect(
      Math.abs(
        profileAt(spike, at(24 * 41), westOffset).meanC - profileAt(before, at(24 * 41), westOffset).meanC,
      ),
    ).toBeLessThan(0.2);
    // Back to the usual a day later, but for now it is hot.
    expect(forecastAir(spike, at(24 * 40), westOffset).meanC).toBeGreaterThan(50);

    const warmer = learn(
      quiet.map((tempC) => tempC + 3),
      before,
      24 * 40,
    );
    const usual = profileAt(warmer, at(24 * 80 + 8), westOffset).meanC;
    expect(usual - profileAt(before, at(24 * 80 + 8), westOffset).meanC).toBeGreaterThan(2);
    // Long before the profile has moved, persistence carries the new level a day ahead.
    const soon = learn(
      quiet.slice(0, 48).map((tempC) => tempC + 3),
      before,
      24 * 40,
    );
    const ahead = forecastAir(soon, at(24 * 43), westOffset).meanC;
    expect(ahead - profileAt(before, at(24 * 43), westOffset).meanC).toBeGreaterThan(1.5);
  });

  it('one by one or in two pieces, with gaps or late hours: the same', () => {
    const history = roomHours(room);
    const whole = learn(history);
    const first = learn(history.slice(0, 500));
    expect(learn(history.slice(500), first, 500)).toEqual(whole);
    expect(learnHour(whole, { t: at(100), tempC: 99 }, westOffset)).toBe(whole);
    // Plain data: through a file and back.
    expect(JSON.parse(JSON.stringify(whole))).toEqual(whole);
    const gap = learnHour(first, { t: at(1500), tempC: 25 }, westOffset);
    expect(Number.isFinite(forecastAir(gap, at(1510), westOffset).sdC)).toBe(true);
  });

  it('holds what it promises: 80 % of the air falls within its 80 %, hours and days ahead', () => {
    // Two kinds have slow departures of five days, as the profile assumes; the others last two and ten.
    const kinds: Partial<TestRoom>[] = [
      {},
      { slowK: 0.2, fastK: 0.5, fastPerHour: 0.5 },
      { slowK: 1.5, fastK: 0.3, slowHours: 48 },
      { slowK: 0.5, fastK: 1, slowHours: 240, fastPerHour: 0.9 },
    ];
    const ahead = [1, 3, 12, 24, 72, 168];
    const [rooms, fromDay, days] = [100, 15, 48];
    for (const kind of kinds) {
      const truth = { ...room, ...kind };
      const inside = ahead.map(() => 0);
      let count = 0;
      for (let seed = 1; seed <= rooms; seed++) {
        const history = roomHours({ ...truth, seed, hours: 24 * days });
        let profile = newDayProfile();
        history.forEach((tempC, hour) => {
          profile = learnHour(profile, { t: at(hour), tempC }, westOffset);
          if (hour < 24 * fromDay || hour % 23 !== 0 || hour + 168 >= history.length) return;
          count++;
          ahead.forEach((hours, index) => {
            const { meanC, sdC } = forecastAir(profile, at(hour + hours), westOffset);
            if (Math.abs(history[hour + hours]! - meanC) < 1.28155 * sdC) inside[index]!++;
          });
        });
      }
      // Forecasts of a room share its weather: a mean over a time T of a departure that fades in tau is worth
      // T / (2 tau) independent ones.
      const independent = Math.floor((rooms * (days - fromDay - 7) * 24) / (2 * truth.slowHours));
      inside.forEach((hits, index) => {
        const promised = [0.8, coverageOf(truth, ahead[index]!)].sort();
        const low = coverageBand(independent, promised[0]!).low;
        const high = coverageBand(independent, promised[1]!).high;
        const where = `${JSON.stringify(kind)} ${ahead[index]} h ahead, ${independent} independent`;
        expect(hits / count, where).toBeGreaterThanOrEqual(low);
        expect(hits / count, where).toBeLessThanOrEqual(high);
      });
    }
  });

  it('a room that is held within a tenth of a kelvin is known as such after two weeks', () => {
    let [inside, count] = [0, 0];
    for (let seed = 1; seed <= 40; seed++) {
      const history = roomHours({ ...room, slowK: 0.05, fastK: 0.1, seed, hours: 24 * 30 });
      let profile = newDayProfile();
      history.forEach((tempC, hour) => {
        profile = learnHour(profile, { t: at(hour), tempC }, westOffset);
        if (hour < 24 * 14 || hour % 23 !== 0 || hour + 24 >= history.length) return;
        const { meanC, sdC } = forecastAir(profile, at(hour + 24), westOffset);
        count++;
        if (Math.abs(history[hour + 24]! - meanC) < 1.28155 * sdC) inside++;
      });
    }
    // Hourly means are taken to be known to 0.1 K, which is as much: it stays a little wide.
    expect(inside / count).toBeGreaterThan(0.75);
    expect(inside / count).toBeLessThan(0.9);
  });

  it('summer time moves the clock, not the room', () => {
    const change = at(24 * 10);
    const offset = (t: number): number => (t < change ? -7 : -6) * hourMs;
    let profile = newDayProfile();
    for (let hour = 0; hour < 24 * 20; hour++)
      profile = learnHour(profile, { t: at(hour), tempC: 20 + (hour % 24) / 10 }, offset);
    const { meanC } = profileAt(profile, at(24 * 20 + 12), offset);
    expect(Math.abs(meanC - 21.15)).toBeLessThan(0.2);
  });
});
