import type { AlarmAct } from '../../../shared/alarms.ts';
import { ask } from '../api.ts';
import { whoHere } from '../doors/entry.ts';
import { site } from '../screen.ts';

/** Does something to an alarm. Answers null when it is done, else why not; the stream shows the new state. */
export async function actOn(alarm: string, act: AlarmAct): Promise<string | null> {
  const who = whoHere();
  const answer = await ask(`${site.peek().base}/alarms/act`, { alarm, ...act, who });
  return answer.ok ? null : answer.problem.text;
}

export const acknowledge = (alarm: string): Promise<string | null> => actOn(alarm, { act: 'acknowledge' });
