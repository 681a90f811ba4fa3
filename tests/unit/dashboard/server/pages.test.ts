import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { build } from './build.ts';

describe('pages', () => {
  it.each(['/', '/rooms', '/rooms/warm-room', '/batches/B-0001', '/training/quiet', '/rooms?theme=dark'])(
    '%s is the one page, asked for anew each time',
    async (path) => {
      const { get } = build();
      const response = await get(path, { accept: 'text/html,application/xhtml+xml' });
      expect(response.statusCode).toBe(200);
      expect(response.headers['content-type']).toContain('text/html');
      expect(response.headers['cache-control']).toBe('no-cache');
      expect(response.body).toContain('<title>Shelfwarden</title>');
    },
  );

  it('files named by their content may be kept for a year, others are asked for anew', async () => {
    const { get } = build();
    const kept = await get('/assets/index-B1a2_C3d.js');
    expect(kept.headers['cache-control']).toBe('public, max-age=31536000, immutable');
    expect(kept.headers['content-type']).toContain('javascript');
    const icon = await get('/icon.svg');
    expect(icon.headers['cache-control']).toBe('no-cache');
    const again = await get('/icon.svg', { 'if-none-match': String(icon.headers.etag) });
    expect(again.statusCode).toBe(304);
  });

  it.each([
    '/../package.json',
    '/%2e%2e/package.json',
    '/assets/..%2f..%2fpackage.json',
    '/.env',
    '/assets/',
  ])('nothing outside the folder: %s', async (path) => {
    const { get } = build();
    const response = await get(path);
    expect(response.body).not.toContain('"name"');
    expect([200, 400, 403, 404]).toContain(response.statusCode);
    if (response.statusCode === 200) expect(response.headers['content-type']).toContain('text/html');
  });

  it('that are not built yet say how to build them, and the API works all the same', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'web-empty-'));
    onTestFinished(() => rmSync(folder, { recursive: true }));
    const { get } = build({ webRoot: folder });
    const response = await get('/rooms');
    expect(response.statusCode).toBe(503);
    expect(response.json().detail).toContain('npm run build');
    expect((await get('/api/sites/farm/live')).statusCode).toBe(200);
  });
});
