import { z } from 'zod';
import type { Signal } from './signal.ts';

type Keep = NonNullable<Signal['keep']>;

const stored = z.record(z.string(), z.string());

/** What parts of a signal keep across restarts, as one text; that of the first alone, of earlier days, is taken up. */
export function keptTogether(first: Keep, more: Readonly<Record<string, Keep>>): Keep {
  const all = Object.entries({ first, ...more });
  return {
    dirty: () => all.some(([, keep]) => keep.dirty()),
    save: () => JSON.stringify(Object.fromEntries(all.map(([name, keep]) => [name, keep.save()]))),
    load(text) {
      const texts = stored.safeParse(JSON.parse(text)).data ?? { first: text };
      for (const [name, keep] of all) if (texts[name] !== undefined) keep.load(texts[name]);
    },
  };
}
