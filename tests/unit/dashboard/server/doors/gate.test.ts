import { expect, it } from 'vitest';
import { createGate } from '../../../../../dashboard/server/doors/gate.ts';

/** A task that ends when told. */
function task(begun: string[], name: string) {
  let end = () => {};
  const ended = new Promise<void>((resolve) => {
    end = resolve;
  });
  return {
    end,
    async run() {
      begun.push(name);
      await ended;
      return name;
    },
  };
}

it('lets so many run at once, the others in turn, and refuses what would wait too long', async () => {
  const pass = createGate({ atOnce: 1, waiting: 2 });
  const begun: string[] = [];
  const tasks = ['first', 'second', 'third'].map((name) => task(begun, name));
  const passing = tasks.map(({ run }) => pass(run));
  await expect(pass(async () => 'one too many')).rejects.toThrow('try again in a few seconds');
  expect(begun).toEqual(['first']);
  for (const { end } of tasks) end();
  expect(await Promise.all(passing)).toEqual(['first', 'second', 'third']);
  expect(begun).toEqual(['first', 'second', 'third']);
});

it('a task that fails leaves its place to the next', async () => {
  const pass = createGate({ atOnce: 1, waiting: 1 });
  const failing = pass(async () => {
    throw new Error('no');
  });
  const next = pass(async () => 'next');
  await expect(failing).rejects.toThrow('no');
  expect(await next).toBe('next');
});
