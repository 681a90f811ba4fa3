import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from './free-port.ts';

export interface Influxd {
  url: string;
  /** Starts it again on the same port with the same data. */
  start(): Promise<void>;
  /** Ends it at once, as a power cut would. */
  kill(): Promise<void>;
  /** Runs an InfluxQL statement that changes something, such as CREATE DATABASE. */
  tell(statement: string): Promise<void>;
  [Symbol.asyncDispose](): Promise<void>;
}

async function answering(url: string, child: ChildProcess): Promise<void> {
  for (;;) {
    if (child.exitCode !== null) throw new Error(`influxd ended with ${child.exitCode}`);
    const answer = await fetch(`${url}/ping`).catch(() => undefined);
    if (answer?.status === 204) return;
    // Nothing tells when it listens, so it is asked again on the next turn of the loop.
    await new Promise((resolve) => setImmediate(resolve));
  }
}

/** A real influxd 1.x on loopback with a folder of its own. */
export async function startInfluxd(): Promise<Influxd> {
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-influxd-'));
  const [http, rpc] = [await freePort(), await freePort()];
  const url = `http://127.0.0.1:${http}`;
  const config = join(folder, 'influxdb.conf');
  writeFileSync(
    config,
    `reporting-enabled = false
bind-address = "127.0.0.1:${rpc}"
[meta]
  dir = "${folder}/meta"
[data]
  dir = "${folder}/data"
  wal-dir = "${folder}/wal"
  query-log-enabled = false
[monitor]
  store-enabled = false
[http]
  bind-address = "127.0.0.1:${http}"
  log-enabled = false
  max-body-size = 4000000
`,
  );
  let child: ChildProcess;
  const start = async () => {
    child = spawn('/usr/bin/influxd', ['-config', config], { stdio: 'ignore' });
    await answering(url, child);
  };
  const kill = async () => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    const gone = new Promise((resolve) => child.once('exit', resolve));
    child.kill('SIGKILL');
    await gone;
  };
  await start();
  return {
    url,
    start,
    kill,
    async tell(statement) {
      const body = new URLSearchParams({ q: statement });
      const answer = await fetch(`${url}/query`, { method: 'POST', body });
      const text = await answer.text();
      if (!answer.ok || text.includes('"error"')) throw new Error(text);
    },
    async [Symbol.asyncDispose]() {
      await kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
