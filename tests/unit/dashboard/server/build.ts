import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import pino from 'pino';
import { onTestFinished } from 'vitest';
import { createDoors } from '../../../../dashboard/server/doors/doors.ts';
import { doorMigrations } from '../../../../dashboard/server/doors/migrations.ts';
import { createServer, type ServerOptions } from '../../../../dashboard/server/server.ts';
import type { AccessNews } from '../../../../shared/doors.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import type { SiteDesk } from '../../../../shared/ports.ts';
import { createMemoryDesk, createMemoryTraining, startedAt } from './desk.ts';

/** A folder as the build of the screens leaves it; removed when the test ends. */
function webFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'web-'));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  mkdirSync(join(folder, 'assets'));
  writeFileSync(join(folder, 'index.html'), '<!doctype html><title>Shelfwarden</title>');
  writeFileSync(join(folder, 'icon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  writeFileSync(join(folder, 'assets', 'index-B1a2_C3d.js'), 'export {};');
  return folder;
}

interface BuildOptions
  extends Partial<Pick<ServerOptions, 'webRoot' | 'hostNames' | 'tls' | 'trustedProxies'>> {
  open?: boolean;
  /** Another site than the one in memory. */
  desk?: SiteDesk;
}

/** A whole server over memory desks and a clock turned by hand; closed when the test ends. */
export function build(options: BuildOptions = {}) {
  const live = createMemoryDesk('demo');
  const training = createMemoryTraining();
  const clock = createManualClock(startedAt);
  const database = new Database(':memory:');
  for (const { sql } of doorMigrations) database.exec(sql);
  const told: AccessNews[] = [];
  const doors = createDoors({
    onAccess: (news) => void told.push(news),
    database,
    clock,
    open: options.open ?? true,
    setUpCode: 'BCDF-GHJK',
    brokerAt: () => undefined,
    alarmTopics: 'shelfwarden/x/alarms',
  });
  const logged: Record<string, unknown>[] = [];
  const app = createServer({
    sites: { live: options.desk ?? live.desk, training: training.desk },
    webRoot: options.webRoot ?? webFolder(),
    doors,
    clock,
    log: pino({ level: 'warn' }, { write: (line: string) => void logged.push(JSON.parse(line)) }),
    kind: 'demo',
    hostNames: options.hostNames ?? [],
    trustedProxies: options.trustedProxies ?? [],
    tls: options.tls,
  });
  onTestFinished(() => app.close());
  const post = (url: string, payload: unknown, headers: Record<string, string> = {}) =>
    app.inject({
      method: 'POST',
      url,
      headers: { 'content-type': 'application/json', ...headers },
      payload: JSON.stringify(payload),
    });
  const get = (url: string, headers: Record<string, string> = {}) => app.inject({ url, headers });
  return { app, live, training, clock, logged, doors, told, database, get, post };
}
