import type { FastifyDynamicSwaggerOptions, SwaggerTransformObject } from '@fastify/swagger';
import { createJsonSchemaTransform, createJsonSchemaTransformObject } from 'fastify-type-provider-zod';
import { namedSchemas } from './schemas.ts';

/** The description of the API, OpenAPI 3.1, made of the schemas that check every request and answer. */
export const openApiOptions: FastifyDynamicSwaggerOptions = {
  openapi: {
    openapi: '3.1.0',
    info: {
      title: 'Shelfwarden',
      version: '1',
      description:
        'Rooms, bags, forecasts and alarms of one spawn lab. Instants are UTC epoch ms, temperatures °C, ' +
        'humidity %. Errors are problem details (RFC 9457). The tool advises; it is never a safety system.',
      license: { name: 'MIT', identifier: 'MIT' },
    },
    servers: [{ url: '/' }],
    tags: [
      { name: 'live', description: 'What is so now' },
      { name: 'readings', description: 'What was measured' },
      { name: 'bags', description: 'Batches and what was done to them' },
      { name: 'unloads', description: 'Hot loads and the rooms that they heat' },
      { name: 'alarms', description: 'What a person must act on' },
      { name: 'farm', description: 'Setting up' },
      { name: 'doors', description: 'Who may do what' },
      { name: 'training', description: 'Runs that touch nothing of the farm' },
      { name: 'health', description: 'Watching the watcher' },
    ],
  },
  transform: createJsonSchemaTransform({ schemaRegistry: namedSchemas }),
  transformObject: (document) => withoutUnused(nameSchemas(document)),
};

const nameSchemas = createJsonSchemaTransformObject({ schemaRegistry: namedSchemas });

type Document = ReturnType<SwaggerTransformObject>;

/**
 * Each named schema comes twice: as answered, and as taken (`...Input`, where defaults may be left out).
 * The second stays only where a request uses it.
 */
function withoutUnused(document: Document): Document {
  if (!('components' in document)) return document;
  const schemas: Record<string, unknown> = document.components?.schemas ?? {};
  const used = new Set<string>();
  const follow = (part: unknown) => {
    for (const [, name] of JSON.stringify(part).matchAll(/"#\/components\/schemas\/([^"]+)"/g))
      if (name !== undefined && !used.has(name)) {
        used.add(name);
        follow(schemas[name]);
      }
  };
  follow({ ...document, components: {} });
  const kept = Object.entries(schemas).filter(([name]) => used.has(name) || !name.endsWith('Input'));
  return {
    ...document,
    components: { ...document.components, schemas: Object.fromEntries(kept) },
  } as Document;
}
