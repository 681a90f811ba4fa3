import type { LightMyRequestResponse } from 'fastify';
import type { Role } from '../../../../../shared/doors.ts';
import { build } from '../build.ts';

export const password = 'four words of our own';

/** The cookies of an answer, as the next request sends them. */
export const cookiesOf = (response: LightMyRequestResponse): string =>
  response.cookies
    .filter(({ maxAge }) => maxAge !== 0)
    .map(({ name, value }) => `${name}=${value}`)
    .join('; ');

/** A farm whose first person, Ida, is set up and signed in. */
export async function buildFarm() {
  const built = build({ open: false });
  const answer = await built.post('/api/doors/set-up', { name: 'Ida', password });
  if (answer.statusCode !== 201) throw new Error(answer.body);
  const ida = { cookie: cookiesOf(answer) };

  /** Invites somebody, who joins; answers with their cookie and id. */
  const add = async (name: string, role: Role) => {
    const invited = await built.post('/api/doors/people', { name, role }, ida);
    const { link, person } = invited.json();
    const joined = await built.post('/api/doors/join', { link: link.split('#')[1], password });
    if (joined.statusCode !== 200) throw new Error(joined.body);
    return { id: person.id as string, cookie: cookiesOf(joined) };
  };
  /** Pairs a wall screen; answers with its cookie and id. */
  const pair = async (settings: { rooms: string[] | null; mayAcknowledge: boolean }) => {
    const asked = (await built.post('/api/doors/walls/ask', {})).json();
    const wall = await built.post(
      '/api/doors/walls',
      { code: asked.code, name: 'Lab wall', ...settings },
      ida,
    );
    const claimed = await built.post('/api/doors/walls/claim', { device: asked.device });
    return { id: wall.json().id as string, cookie: cookiesOf(claimed) };
  };
  const makeKey = async (scopes: string[]): Promise<{ id: string; authorization: string }> => {
    const made = (
      await built.post('/api/doors/scripts', { name: scopes.join(' '), scopes, days: 30 }, ida)
    ).json();
    return { id: made.script.id, authorization: `Bearer ${made.key}` };
  };
  return { ...built, ida, add, pair, makeKey };
}
