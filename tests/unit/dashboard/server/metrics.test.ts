import { expect, it } from 'vitest';
import { build } from './build.ts';

it('metrics are OpenMetrics text of site and server, ended once', async () => {
  const { get } = build();
  await get('/api/sites/farm/live');
  const response = await get('/metrics');
  expect(response.headers['content-type']).toBe('application/openmetrics-text; version=1.0.0; charset=utf-8');
  const lines = response.body.split('\n');
  expect(lines.filter((line) => line === '# EOF')).toHaveLength(1);
  expect(lines.at(-2)).toBe('# EOF');
  expect(lines.at(-1)).toBe('');
  expect(lines).toContain('shelfwarden_readings_total 5');
  expect(lines).toContain('shelfwarden_streams 0');
  expect(lines).toContain(
    'shelfwarden_http_request_seconds_count{method="GET",route="/api/sites/:site/live",status="200"} 1',
  );
  // OpenMetrics 1.0, section 4: every line is a descriptor or a sample.
  const line = /^(# (HELP|TYPE|UNIT|EOF)( .*)?|[a-zA-Z_:][\w:]*(\{[^{}]*\})? [-+\d.eE]+(Inf|NaN)?)$/;
  for (const text of lines.slice(0, -1)) expect(text).toMatch(line);
});
