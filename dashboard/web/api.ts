import { AppError } from '../../shared/errors.ts';

/** A refusal as the server words it (RFC 9457), with the fields it names. */
export interface Problem {
  status: number;
  text: string;
  /** What is wrong by field name, where the server says so. */
  fields: Record<string, string>;
}

export type Answer<T> = { ok: true; value: T } | { ok: false; problem: Problem };

/** Asks the server. A refusal is a value; so is a server that cannot be reached (status 0). */
export async function ask<T>(path: string, body?: unknown, signal?: AbortSignal): Promise<Answer<T>> {
  let response: Response;
  let text: string;
  try {
    response = await fetch(path, {
      ...(body === undefined
        ? {}
        : { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
      ...(signal === undefined ? {} : { signal }),
    });
    // An answer that breaks off, or is called off, half way is none.
    text = await response.text();
  } catch {
    return { ok: false, problem: { status: 0, text: 'no contact with the server', fields: {} } };
  }
  const answer = parsed(text);
  if (response.ok) return { ok: true, value: answer as T };
  return { ok: false, problem: problemOf(response.status, answer) };
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** As `ask`, for reading: throws what was refused. */
export async function read<T>(path: string, signal?: AbortSignal): Promise<T> {
  const answer = await ask<T>(path, undefined, signal);
  if (answer.ok) return answer.value;
  throw new AppError('unavailable', answer.problem.text);
}

interface ProblemBody {
  title?: unknown;
  detail?: unknown;
  errors?: unknown;
}

/** Reads problem details; `errors` is a list of `{ field | pointer | path, message | detail }`. */
export function problemOf(status: number, answer: unknown): Problem {
  const body: ProblemBody = typeof answer === 'object' && answer !== null ? answer : {};
  const said = [body.detail, body.title].find((text) => typeof text === 'string' && text !== '');
  const fields: Record<string, string> = {};
  if (Array.isArray(body.errors))
    for (const error of body.errors as Record<string, unknown>[]) {
      const where = error.field ?? error.pointer ?? error.path;
      const what = error.message ?? error.detail;
      if (typeof where === 'string' && typeof what === 'string')
        fields[where.replace(/^[#/.]+/, '').split('/')[0]!] ??= what;
    }
  return { status, text: typeof said === 'string' ? said : `the server answered ${status}`, fields };
}
