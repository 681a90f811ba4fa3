import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from './free-port.ts';

export interface Mosquitto {
  port: number;
  url: string;
  folder: string;
  /** Starts it again on the same port with the same folder. */
  start(): Promise<void>;
  /** Ends it and waits until it has gone. */
  stop(signal?: 'SIGTERM' | 'SIGKILL' | 'SIGSTOP' | 'SIGCONT'): Promise<void>;
  /** Ends it and removes its folder. */
  [Symbol.asyncDispose](): Promise<void>;
}

/** A real mosquitto on loopback with a folder of its own; `lines` are added to its configuration. */
export async function startMosquitto(
  lines: readonly string[] = ['allow_anonymous true'],
): Promise<Mosquitto> {
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-mosquitto-'));
  const port = await freePort();
  // Started as root it would become a user that may not read its own folder.
  const asRoot = process.getuid?.() === 0 ? ['user root'] : [];
  const config = join(folder, 'mosquitto.conf');
  writeFileSync(
    config,
    [`listener ${port} 127.0.0.1`, ...asRoot, ...lines, ''].join('\n').replaceAll('FOLDER', folder),
  );
  let child: ChildProcess | undefined;

  const start = async (): Promise<void> => {
    const started = spawn('/usr/sbin/mosquitto', ['-c', config], { stdio: ['ignore', 'ignore', 'pipe'] });
    child = started;
    let said = '';
    started.stderr?.on('data', (chunk) => {
      said = (said + chunk).slice(-2000);
    });
    const ended = new Promise<never>((_, reject) => {
      started.once('error', reject);
      started.once('exit', (code) => reject(new Error(`mosquitto ended with ${code}: ${said}`)));
    });
    ended.catch(() => {});
    await Promise.race([ended, answering(port, started)]);
  };
  const stop = async (signal: NodeJS.Signals = 'SIGTERM'): Promise<void> => {
    const ending = child;
    if (ending === undefined || ending.exitCode !== null || ending.signalCode !== null) return;
    if (signal === 'SIGSTOP' || signal === 'SIGCONT') {
      ending.kill(signal);
      return;
    }
    const gone = new Promise((resolve) => ending.once('exit', resolve));
    ending.kill('SIGCONT');
    ending.kill(signal);
    await gone;
  };

  const remove = (): void => rmSync(folder, { recursive: true, force: true });

  await start().catch((error: unknown) => {
    remove();
    throw error;
  });
  return {
    port,
    url: `mqtt://127.0.0.1:${port}`,
    folder,
    start,
    stop,
    async [Symbol.asyncDispose]() {
      await stop('SIGKILL');
      remove();
    },
  };
}

/** Resolves once something accepts connections there. */
async function answering(port: number, broker: ChildProcess): Promise<void> {
  while (broker.exitCode === null && broker.signalCode === null) {
    const open = await new Promise<boolean>((resolve) => {
      const socket = connect(port, '127.0.0.1');
      socket.once('connect', () => resolve(true));
      socket.once('error', () => setImmediate(resolve, false));
      socket.once('connect', () => socket.destroy());
    });
    if (open) return;
  }
}
