import type { BagEvent } from '../../../shared/bags.ts';
import { ask, type Problem } from '../api.ts';

/** Sends events one after the other and stops at the first that is refused. */
export async function sendEvents(base: string, events: readonly BagEvent[]): Promise<Problem | null> {
  for (const event of events) {
    const answer = await ask(`${base}/events`, event);
    if (!answer.ok) return answer.problem;
  }
  return null;
}

/** The form's names for what the server calls otherwise. */
const fieldOf: Record<string, string> = { inoculation: 'amount', t: 'when', parent: 'parent' };

/** Problems by field of the form; a new batch's name is the server's `batch`. */
export function fieldProblems(problem: Problem, making: boolean): Record<string, string> {
  const fields: Record<string, string> = {};
  for (const [name, text] of Object.entries(problem.fields))
    fields[making && name === 'batch' ? 'newBatch' : (fieldOf[name] ?? name)] = text;
  return fields;
}
