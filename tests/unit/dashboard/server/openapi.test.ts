import type { RouteOptions } from 'fastify';
import { describe, expect, it } from 'vitest';
import { build } from './build.ts';

interface Described {
  openapi: string;
  info: Record<string, unknown>;
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, unknown> };
  tags: { name: string }[];
}
interface Operation {
  operationId: string;
  summary: string;
  tags: string[];
  parameters?: { name: string; in: string; required?: boolean; schema: unknown }[];
  requestBody?: { content: Record<string, { schema: unknown }> };
  responses: Record<string, { description: string; content?: Record<string, { schema: unknown }> }>;
}

async function describeApi(): Promise<Described> {
  const { get } = build();
  const response = await get('/api/openapi.json');
  expect(response.statusCode).toBe(200);
  return response.json();
}

const operations = (api: Described): [string, Operation][] =>
  Object.entries(api.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]): [string, Operation] => [
      `${method} ${path}`,
      operation,
    ]),
  );

/** Every value of a key anywhere in a document. */
function valuesOf(key: string, node: unknown): unknown[] {
  if (typeof node !== 'object' || node === null) return [];
  return Object.entries(node).flatMap(([name, value]) => [
    ...(name === key ? [value] : []),
    ...valuesOf(key, value),
  ]);
}

describe('the description of the API', () => {
  it('is OpenAPI 3.1 and names every operation once', async () => {
    const api = await describeApi();
    expect(api.openapi).toMatch(/^3\.1\.\d$/);
    expect(api.info).toMatchObject({ title: 'Shelfwarden', version: '1' });
    const ids = operations(api).map(([, { operationId }]) => operationId);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids.length).toBeGreaterThanOrEqual(17);
    const tags = new Set(api.tags.map(({ name }) => name));
    for (const [name, operation] of operations(api)) {
      expect(operation.summary, name).toBeTruthy();
      for (const tag of operation.tags) expect(tags, name).toContain(tag);
    }
  });

  it('resolves every reference and carries no schema that nothing uses', async () => {
    const api = await describeApi();
    const known = Object.keys(api.components.schemas).map((name) => `#/components/schemas/${name}`);
    for (const reference of valuesOf('$ref', api)) expect(known).toContain(reference);
    const used = new Set(valuesOf('$ref', api));
    for (const name of known.filter((reference) => reference.endsWith('Input'))) expect(used).toContain(name);
    expect(Object.keys(api.components.schemas)).toEqual(
      expect.arrayContaining(['LiveState', 'LiveChange', 'BagEvent']),
    );
  });

  it('declares each parameter of a path, and a body for each change', async () => {
    const api = await describeApi();
    for (const [name, { parameters = [], requestBody }] of operations(api)) {
      const inPath = [...name.matchAll(/\{(\w+)\}/g)].map(([, parameter]) => parameter);
      const declared = parameters.filter((parameter) => parameter.in === 'path');
      expect(declared.map((parameter) => parameter.name).sort(), name).toEqual(inPath.sort());
      for (const parameter of declared) expect(parameter.required, name).toBe(true);
      expect(Object.keys(requestBody?.content ?? {}), name).toEqual(
        name.startsWith('post') ? ['application/json'] : [],
      );
    }
  });

  it('says of each operation what it answers, and that errors are problem details', async () => {
    const api = await describeApi();
    for (const [name, { responses }] of operations(api)) {
      const success = Object.keys(responses).filter((status) => /^2\d\d$/.test(status));
      expect(success.length, name).toBe(1);
      for (const [status, response] of Object.entries(responses)) {
        expect(response.description, `${name} ${status}`).toBeTruthy();
        expect(Object.keys(response.content ?? {}).length, `${name} ${status}`).toBe(1);
      }
      for (const status of ['4XX', '5XX'])
        expect(responses[status]?.content, name).toEqual({
          'application/problem+json': { schema: { $ref: '#/components/schemas/ProblemDetails' } },
        });
    }
  });

  it('types numbers of queries as numbers, with their range and default', async () => {
    const api = await describeApi();
    const series = api.paths['/api/sites/{site}/series']?.get;
    const maxPoints = series?.parameters?.find(({ name }) => name === 'maxPoints');
    expect(maxPoints?.schema).toMatchObject({ type: 'integer', minimum: 2, maximum: 5000, default: 600 });
    expect(series?.parameters?.find(({ name }) => name === 'from')?.required).toBe(true);
  });
});

it('every route has a schema for what it takes and what it answers', async () => {
  const { app } = build();
  const routes: RouteOptions[] = [];
  app.addHook('onRoute', (route) => void routes.push(route));
  await app.ready();
  const own = routes.filter(
    ({ url, method }) => url !== '/*' && url !== '/' && ![method].flat().includes('HEAD'),
  );
  expect(own.length).toBeGreaterThanOrEqual(17);
  for (const { url, method, schema } of own) {
    if (url === '/api/openapi.json') continue;
    const name = `${method} ${url}`;
    expect(schema?.response, name).toBeDefined();
    if (url.includes(':')) expect(schema?.params, name).toBeDefined();
    if (method === 'POST') expect(schema?.body, name).toBeDefined();
  }
});
