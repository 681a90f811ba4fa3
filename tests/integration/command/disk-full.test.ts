import { spawnSync } from 'node:child_process';
import { rmSync, statfsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { systemClock as clock } from '../../../collector/system-clock.ts';
import { asked } from '../../tools/asked.ts';
import { openFolder } from '../../tools/open-folder.ts';
import { embedded, startFarm, temporaryFolder } from './farm.ts';

/** A way to take the disk from the command and to give it back, as the system itself does it. */
interface Scarcity {
  name: string;
  possible: boolean;
  behind(dataFolder: string): string[];
  begin(pid: number, dataFolder: string): void;
  end(pid: number): void;
  says: RegExp;
}

const inMounted = [
  'unshare',
  '-m',
  'sh',
  '-c',
  'mkdir -p "$0"; mount -t tmpfs -o size=24m none "$0" && exec "$@"',
];
const run = (words: readonly string[]) => spawnSync(words[0]!, words.slice(1));
// The disk as the command sees it, in its own name space.
const ballastOf = (pid: number, dataFolder: string): string => `/proc/${pid}/root${dataFolder}/ballast`;
let ballast = '';

const ways: Scarcity[] = [
  {
    name: 'no room on the disk',
    possible: canMount(),
    behind: (dataFolder) => [...inMounted, dataFolder],
    begin(pid, dataFolder) {
      ballast = ballastOf(pid, dataFolder);
      const { blocks, bsize } = statfsSync(`/proc/${pid}/root${dataFolder}`);
      // What fits is kept.
      expect(() => writeFileSync(ballast, Buffer.alloc(blocks * bsize))).toThrow(/ENOSPC/);
    },
    end: () => rmSync(ballast),
    says: /is full\. Free some space/,
  },
  {
    name: 'files may not grow',
    possible: run(['prlimit', '--version']).status === 0,
    behind: () => [],
    begin(pid) {
      run(['prlimit', '--pid', `${pid}`, '--fsize=4096:unlimited']);
    },
    end(pid) {
      run(['prlimit', '--pid', `${pid}`, '--fsize=unlimited:unlimited']);
    },
    says: /reports an error\. Check the disk/,
  },
];

function canMount(): boolean {
  using folder = openFolder('probe');
  return run([...inMounted, folder.path, 'true']).status === 0;
}

test.each(ways.filter(({ possible }) => possible))(
  '$name: a reading is not acknowledged, an alarm shows, work goes on by itself',
  async ({ behind, begin, end, says }) => {
    const folder = temporaryFolder();
    const dataFolder = join(folder, 'data');
    const {
      collector,
      insider,
      live,
      health,
      stored,
      sensor: access,
    } = await startFarm(folder, embedded, {
      behind: behind(dataFolder),
    });
    const pid = collector.child.pid!;
    const sensor = await mqtt.connectAsync(collector.brokerUrl, { protocolVersion: 4, ...(await access()) });
    onTestFinished(() => sensor.endAsync(true));
    const from = clock.now() - 3_600_000;
    let published = 0;
    let acknowledged = 0;
    const publish = async () => {
      published++;
      await sensor.publishAsync('lab/air', JSON.stringify({ at: from + published, t: 22 }), { qos: 1 });
      acknowledged++;
    };
    await publish();

    begin(pid, dataFolder);
    // What still fits into space that the database holds already may be acknowledged.
    let held: Promise<void> = Promise.resolve();
    while (acknowledged === published) {
      let over = false;
      held = publish().then(() => {
        over = true;
      });
      const refused = asked(
        health,
        ({ parts }) => over || parts.some(({ text }) => text.includes('readings wait at their senders')),
      );
      await Promise.race([held, refused]);
    }
    const before = acknowledged;
    const { alarms } = await asked(live, (state) => state.alarms.some(({ id }) => id === 'system/store'));
    expect(alarms.find(({ id }) => id === 'system/store')).toMatchObject({
      state: 'unacknowledged',
      priority: 1,
      title: expect.stringMatching(says),
    });
    const { status, parts } = await health();
    expect(status).toBe('failed');
    expect(parts.find(({ part }) => part === 'store')?.text).toMatch(says);
    // Some rounds of trying again later nothing has changed, and it still runs.
    await new Promise<void>((resolve) => clock.after(3_000, resolve));
    expect(acknowledged).toBe(before);
    expect(collector.child.exitCode).toBeNull();
    expect(await stored(from)).toBe(before);

    end(pid);
    await held;
    expect(await stored(from)).toBe(published);
    await asked(live, (state) =>
      state.alarms.every((alarm) => alarm.id !== 'system/store' || !alarm.conditionHolds),
    );
    expect((await asked(health, (answer) => answer.status === 'ok')).status).toBe('ok');
    await publish();
    expect(await stored(from)).toBe(published);
    // The alarm came to the journal once it could be written.
    const journal = async () => (await insider.get('/api/sites/farm/alarms/journal')).text();
    expect(await asked(journal, (text) => text.includes('system/store'))).toContain('system/store');
  },
);
