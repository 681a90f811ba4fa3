import { createServer, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { expect, it, onTestFinished } from 'vitest';
import { ask } from '../../../../dashboard/web/api.ts';

/** A server that answers as told, and the address to ask it at. */
async function answering(answer: (response: ServerResponse) => void): Promise<string> {
  const server = createServer((_, response) => answer(response));
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  return `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
}

it('an answer that breaks off half way is none', async () => {
  const url = await answering((response) => {
    response.writeHead(200, { 'content-type': 'application/json', 'content-length': '40' });
    response.write('{"half":');
    setImmediate(() => response.destroy());
  });
  const problem = { status: 0, text: 'no contact with the server', fields: {} };
  expect(await ask(url)).toEqual({ ok: false, problem });
});

it('an answer without a body is one', async () => {
  const url = await answering((response) => response.writeHead(204).end());
  expect(await ask(url, {})).toEqual({ ok: true, value: null });
});
