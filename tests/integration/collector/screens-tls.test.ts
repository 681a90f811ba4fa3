import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { TLSSocket } from 'node:tls';
import { expect, onTestFinished, test } from 'vitest';
import { openCollector } from '../../../collector/main.ts';
import { renewTls } from '../../../dashboard/server/renew-tls.ts';
import { selfSigned } from '../../tools/certificate.ts';
import { build } from '../../unit/dashboard/server/build.ts';

const one = selfSigned('localhost');
const other = selfSigned('localhost');

interface Told {
  status: number | undefined;
  headers: Record<string, string | string[] | undefined>;
  fingerprint: string;
}

/** One request over a connection of its own, by somebody who trusts these certificates and no other. */
const ask = (port: string | number, path: string, body?: unknown): Promise<Told> =>
  new Promise((resolve, reject) => {
    const asked = request(
      {
        host: 'localhost',
        port,
        path,
        method: body === undefined ? 'GET' : 'POST',
        headers: { 'content-type': 'application/json' },
        ca: [one.cert, other.cert],
        agent: false,
      },
      (answer) => {
        const { fingerprint256 } = (answer.socket as TLSSocket).getPeerCertificate();
        answer.resume();
        answer.on('end', () =>
          resolve({ status: answer.statusCode, headers: answer.headers, fingerprint: fingerprint256 }),
        );
      },
    );
    asked.on('error', reject);
    asked.end(body === undefined ? undefined : JSON.stringify(body));
  });

function farmIn(folder: string) {
  const files = { certFile: join(folder, 'cert.pem'), keyFile: join(folder, 'key.pem') };
  writeFileSync(files.certFile, one.cert);
  writeFileSync(files.keyFile, one.key, { mode: 0o600 });
  const farmPath = join(folder, 'farm.yaml');
  const farm = {
    site: { id: 'test-site', name: 'Test site', timeZone: 'Europe/Berlin' },
    screens: { tls: files },
    rooms: [{ id: 'warm', name: 'Warm room' }],
    broker: { embedded: { port: 0, tls: files } },
  };
  writeFileSync(farmPath, JSON.stringify(farm));
  const open = () =>
    openCollector({
      farmPath,
      dataFolder: join(folder, 'data'),
      host: '127.0.0.1',
      port: 0,
      brokerUrl: undefined,
    });
  return { files, open };
}

test('a farm with a certificate serves its screens by https alone, with cookies that need it', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-tls-'));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const { files, open } = farmIn(folder);

  chmodSync(files.keyFile, 0o644);
  await expect(open()).rejects.toThrow(/key of .* is in .*key\.pem, which everybody .*chmod 600/);
  chmodSync(files.keyFile, 0o600);

  const collector = await open();
  onTestFinished(() => collector.close());
  expect(collector.url).toMatch(/^https:/);
  const { port } = new URL(collector.url);
  await expect(fetch(`http://127.0.0.1:${port}/`)).rejects.toThrow();
  expect(await ask(port, '/api/sites/farm/live')).toMatchObject({
    status: 401,
    headers: { 'strict-transport-security': 'max-age=15724800' },
  });
  const { headers } = await ask(port, '/api/doors/set-up', {
    name: 'Ida',
    password: 'four words of our own',
  });
  expect(String(headers['set-cookie'])).toMatch(
    /^__Host-shelfwarden-session=.*; Path=\/; HttpOnly; Secure; SameSite=Lax$/,
  );
});

test('a renewed certificate is shown to whoever comes next', async () => {
  const { app } = build({ tls: one });
  await app.listen({ port: 0, host: '127.0.0.1' });
  const { port } = app.server.address() as { port: number };
  const before = await ask(port, '/health');
  renewTls(app, other);
  const after = await ask(port, '/health');
  expect(before.status).toBe(200);
  expect(after.status).toBe(200);
  expect(after.fingerprint).not.toBe(before.fingerprint);
});
