import fc from 'fast-check';
import { expect, test } from 'vitest';
import { createFollower } from '../../collector/store/follower.ts';
import { storeMigrations } from '../../collector/store/migrations.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import { createReadingsLog } from '../../collector/store/readings-log.ts';
import { recount } from '../../collector/store/recount.ts';
import { quality } from '../../shared/readings.ts';
import { readingOf, t0 } from '../tools/history-suite.ts';

const reading = fc
  .record({
    channel: fc.constantFrom('a.temperature', 'b.humidity', 'c.temperature'),
    offset: fc.integer({ min: 0, max: 400 }),
    value: fc.integer({ min: -400, max: 400 }).map((tenths) => tenths / 10),
    quality: fc.constantFrom(...quality.options),
  })
  .map(({ offset, value, ...more }) => readingOf(t0 + offset * 20_000, value, more));

/** What may happen to a log, in any order. */
const happening = fc.oneof(
  {
    weight: 4,
    arbitrary: fc.record({ do: fc.constant('append'), readings: fc.array(reading, { maxLength: 12 }) }),
  },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('settle'), most: fc.integer({ min: 1, max: 20 }) }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constantFrom('restart', 'take', 'confirm') }) },
  {
    weight: 1,
    arbitrary: fc.record({ do: fc.constant('roll back'), readings: fc.array(reading, { maxLength: 5 }) }),
  },
);

test('whatever happens: each reading once, roll-ups as a recount, each passed on at least once', () => {
  fc.assert(
    fc.property(fc.array(happening, { maxLength: 40 }), (happenings) => {
      const database = openDatabase({
        file: ':memory:',
        migrations: storeMigrations,
        clock: { now: () => t0 },
      });
      let log = createReadingsLog(database);
      let follower = createFollower(database, log);
      let portion: ReturnType<typeof follower.next>;
      const kept = new Map<string, number>();
      const passedOn = new Set<string>();
      const keyOf = ({ channel, t }: { channel: string; t: number }) => `${channel} ${t}`;

      const confirm = () => {
        if (portion === undefined) return;
        for (const passed of portion.readings) passedOn.add(keyOf(passed));
        follower.confirm(portion);
        portion = undefined;
      };
      for (const happened of happenings) {
        if ('most' in happened) log.settle(happened.most);
        else if ('readings' in happened && happened.do === 'append') {
          const fresh = new Set(log.append(happened.readings));
          for (const told of happened.readings) {
            expect(fresh.has(told)).toBe(!kept.has(keyOf(told)));
            if (fresh.has(told)) kept.set(keyOf(told), told.value);
          }
        } else if ('readings' in happened) {
          const failing = database.transaction(() => {
            log.append(happened.readings);
            throw new Error('rolled back');
          });
          expect(failing).toThrow('rolled back');
        } else if (happened.do === 'restart') {
          log = createReadingsLog(database);
          follower = createFollower(database, log);
          portion = undefined;
        } else if (happened.do === 'take') portion ??= follower.next(7);
        else confirm();
        expect(recount(database)).toMatchObject({ wrong: 0, readings: kept.size });
      }
      while (log.settle() > 0);
      confirm();
      for (portion = follower.next(50); portion !== undefined; portion = follower.next(50)) confirm();
      expect(recount(database)).toMatchObject({ wrong: 0, unsettled: 0 });
      expect(passedOn).toEqual(new Set(kept.keys()));
      database.close();
    }),
    { seed: 20261002, numRuns: 150 },
  );
});
