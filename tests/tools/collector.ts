import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const command = fileURLToPath(new URL('../../dist/collector/cli.js', import.meta.url));

export interface StartOptions {
  /** Laid over the environment of the test. */
  env?: Record<string, string>;
  /** A command line that the collector is put behind, such as one that bounds what it may use. */
  behind?: readonly string[];
}

/** What a process said, and its exit code or the signal that ended it. */
export interface Ended {
  code: number | null;
  signal: NodeJS.Signals | null;
  out: string;
  err: string;
}

function launch(words: readonly string[], { env, behind = [] }: StartOptions) {
  const [program = '', ...rest] = [...behind, process.execPath, command, ...words];
  const child = spawn(program, rest, {
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, ...env },
  });
  const said = { out: '', err: '' };
  child.stdout.on('data', (chunk) => {
    said.out = (said.out + chunk).slice(-20_000);
  });
  child.stderr.on('data', (chunk) => {
    said.err = (said.err + chunk).slice(-20_000);
  });
  const ended = new Promise<Ended>((resolve, reject) => {
    child.once('error', reject);
    // Not 'exit', after which there may still be words on their way.
    child.once('close', (code, signal) => resolve({ code, signal, ...said }));
  });
  ended.catch(() => {});
  return { child, said, ended };
}

/** Runs the built command as a person does, to its end. */
export const runCollector = (words: readonly string[], options: StartOptions = {}): Promise<Ended> =>
  launch(words, options).ended;

export interface RunningCollector {
  child: ChildProcess;
  /** Address of its screens, without a slash at the end. */
  url: string;
  /** Address of its broker, its own or another's. */
  brokerUrl: string;
  said: { out: string; err: string };
  /** Resolves when it has ended by itself or by `end`. */
  ended: Promise<Ended>;
  end(signal?: 'SIGTERM' | 'SIGKILL'): Promise<Ended>;
  /** Kills it, if it still runs. */
  [Symbol.asyncDispose](): Promise<void>;
}

/** Starts the built command as a person does; resolves once it says that it is open. */
export async function startCollector(
  words: readonly string[],
  options: StartOptions = {},
): Promise<RunningCollector> {
  const { child, said, ended } = launch(words, options);
  const opened = new Promise<void>((resolve) => {
    child.stdout.on('data', () => {
      if (/Readings: .*\n/.test(said.out)) resolve();
    });
  });
  const early = ended.then(({ code, err, out }) => {
    throw new Error(`the collector ended with ${code}: ${err}${out}`);
  });
  await Promise.race([opened, early]);
  early.catch(() => {});
  const url = /: open (https?:\S+)/.exec(said.out)![1]!.replace(/\/$/, '');
  const broker = /Readings: (?:built-in broker on |mqtt:\/\/)([^\s,]+)/.exec(said.out)?.[1];
  return {
    child,
    url,
    brokerUrl: `mqtt://${broker}`,
    said,
    ended,
    async end(signal = 'SIGTERM') {
      child.kill(signal);
      return ended;
    },
    async [Symbol.asyncDispose]() {
      child.kill('SIGKILL');
      await ended;
    },
  };
}

/** The same command started again and again; what still runs at the end of the block is killed. */
export function collectorInTurns(words: readonly string[]) {
  let last: RunningCollector | undefined;
  return {
    async start(): Promise<RunningCollector> {
      last = await startCollector(words);
      return last;
    },
    async [Symbol.asyncDispose]() {
      await last?.[Symbol.asyncDispose]();
    },
  };
}
