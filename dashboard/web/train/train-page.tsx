import '../styles/train.css';
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { RunState } from '../../../shared/live.ts';
import { ask } from '../api.ts';
import { openSite } from '../screen.ts';
import { common } from '../text/common.ts';
import { train as text } from '../text/train.ts';
import { Report } from './report.tsx';
import { RunCard } from './run-card.tsx';
import { WeekChoice } from './week-choice.tsx';

/** Choosing a week, steering it, and looking back on it. */
export function TrainPage() {
  const training = useSignal(openSite('training'));
  const failed = useSignal<string | null>(null);
  const busy = useSignal(false);
  useEffect(() => {
    const { value } = training;
    value.follow();
    return () => value.leave();
  }, []);

  const tell = async (what: string, body: object): Promise<boolean> => {
    busy.value = true;
    const answer = await ask<{ run: RunState | null }>(`/api/training/${what}`, body);
    busy.value = false;
    failed.value = answer.ok ? null : text.failed(answer.problem.text);
    return answer.ok;
  };

  const { state, now, absent, outOfContact } = training.value;
  const live = state.value;
  const run = live?.run ?? null;
  return (
    <div class="train">
      <div class="page-head">
        <h1>{text.title}</h1>
      </div>
      <p class="train-lead">{text.lead}</p>
      <p class="train-failed" role="status">
        {failed.value}
      </p>
      {run !== null && live !== null ? (
        <>
          <RunCard run={run} now={now.value} zone={live.farm.site.timeZone} tell={tell} />
          <Report run={run} now={now.value} zone={live.farm.site.timeZone} alarms={live.alarms} />
        </>
      ) : absent.value ? (
        <>
          <p>
            <strong>{text.noRun}</strong> {text.chooseBelow}
          </p>
          <WeekChoice busy={busy.value} tell={tell} />
        </>
      ) : (
        <p class="quiet">{outOfContact.value ? common.noServer : common.connecting}</p>
      )}
    </div>
  );
}
