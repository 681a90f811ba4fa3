import { createServer } from 'node:net';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { startCollector } from '../../tools/collector.ts';
import { embedded, temporaryFolder, writeFarm } from './farm.ts';

test('a busy port moves to the next free one and says so', async () => {
  const blocker = createServer();
  await new Promise<void>((listening) => blocker.listen(0, '127.0.0.1', listening));
  onTestFinished(() => new Promise<void>((closed) => blocker.close(() => closed())));
  const { port: busy } = blocker.address() as { port: number };
  const folder = temporaryFolder();
  const words = ['--farm', writeFarm(folder, embedded), '--data', join(folder, 'data'), '--port', `${busy}`];
  const collector = await startCollector(words);
  onTestFinished(async () => void (await collector.end('SIGKILL')));
  const taken = Number(new URL(collector.url).port);
  expect(taken).toBeGreaterThan(busy);
  expect(collector.said.out).toContain(`Port ${busy} is busy, so the screens are on ${taken}.`);
  expect((await fetch(`${collector.url}/health`)).status).toBe(200);
  expect(await collector.end()).toMatchObject({ code: 0, err: '' });
});
