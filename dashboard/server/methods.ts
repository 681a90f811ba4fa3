import type { FastifyInstance } from 'fastify';

/** The segments of a route's path, a parameter as null. */
type Pattern = readonly (string | null)[];

const segments = (path: string): string[] => path.split('/').filter((part) => part !== '');
const patternOf = (path: string): Pattern =>
  segments(path).map((part) => (part.startsWith(':') ? null : part));

/**
 * Remembers which methods each path is registered for, so that a wrong one can be answered with what is
 * allowed (RFC 9110, section 15.5.6). To be called before the routes are registered.
 */
export function rememberMethods(app: FastifyInstance) {
  const routes = new Map<string, { pattern: Pattern; methods: Set<string> }>();
  app.addHook('onRoute', ({ url, method }) => {
    if (url.includes('*')) return;
    const route = routes.get(url) ?? { pattern: patternOf(url), methods: new Set<string>() };
    for (const one of [method].flat()) route.methods.add(one);
    routes.set(url, route);
  });
  return {
    /** Methods that `path` can be asked with, in alphabetical order; none when there is no such path. */
    allowedAt(path: string): string[] {
      const asked = segments(path);
      const fits = (pattern: Pattern): boolean =>
        pattern.length === asked.length && pattern.every((part, at) => part === null || part === asked[at]);
      const found = [...routes.values()].filter(({ pattern }) => fits(pattern));
      return [...new Set(found.flatMap(({ methods }) => [...methods]))].sort();
    },
  };
}
export type KnownMethods = ReturnType<typeof rememberMethods>;
