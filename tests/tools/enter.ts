/** Asks a running farm as somebody who has signed in. */
export interface Insider {
  name: string;
  password: string;
  /** What each request must carry. */
  headers: { cookie: string };
  get(path: string): Promise<Response>;
  post(path: string, body: unknown): Promise<Response>;
  /** Makes a device of the built-in broker, which publishes below `topic`; answers with what it connects with. */
  device(name: string, topic: string): Promise<{ username: string; password: string }>;
}

const ida = { name: 'Ida', password: 'four words of our own' };

async function postJson(url: string, body: unknown, headers: Record<string, string> = {}): Promise<Response> {
  return fetch(url, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...headers },
    body: JSON.stringify(body),
  });
}

/** Sets up Ida, an admin, as the first person of the farm at `url`; signs her in where she is there already. */
export async function enter(url: string): Promise<Insider> {
  const { setUp } = (await (await fetch(`${url}/api/doors`)).json()) as { setUp: boolean };
  const answer = await postJson(`${url}/api/doors/${setUp ? 'sign-in' : 'set-up'}`, ida);
  if (!answer.ok) throw new Error(`Ida does not come in: ${await answer.text()}`);
  const headers = { cookie: answer.headers.getSetCookie()[0]!.split(';')[0]! };
  const post = (path: string, body: unknown) => postJson(url + path, body, headers);
  return {
    ...ida,
    headers,
    get: (path) => fetch(url + path, { headers }),
    post,
    async device(name, topic) {
      const made = await post('/api/doors/devices', { name, topic, hears: false });
      if (!made.ok) throw new Error(`no device: ${await made.text()}`);
      return { username: name, password: ((await made.json()) as { password: string }).password };
    },
  };
}
