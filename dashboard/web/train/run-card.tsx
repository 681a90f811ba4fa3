import type { RunState } from '../../../shared/live.ts';
import { momentOf } from '../format/time.ts';
import { train as text } from '../text/train.ts';
import { SpeedChoice } from './speed-choice.tsx';

interface Props {
  run: RunState;
  now: number;
  zone: string;
  tell(what: string, body: object): Promise<boolean>;
}

/** The run that is open: how far it is, how fast it goes, and the way into it. */
export function RunCard({ run, now, zone, tell }: Props) {
  const share = (now - run.startedAt) / (run.endsAt - run.startedAt);
  const done = Math.round(100 * Math.min(1, Math.max(0, share)));
  return (
    <section class="card run" aria-labelledby="run">
      <h2 id="run">{run.ended ? text.ended : text.running}</h2>
      <p class="run-time">{text.time(momentOf(Math.min(now, run.endsAt), zone))}</p>
      <progress max="100" value={done} aria-label={text.progress(done)} />
      <p class="quiet">{text.progress(done)}</p>
      {run.ended ? null : (
        <SpeedChoice speed={run.speed} onChange={(speed) => void tell('speed', { speed })} />
      )}
      <p class="page-acts-inline">
        <a class="button button-chief" href="/training">
          {text.toScreens}
        </a>
        {run.ended ? null : (
          <button type="button" class="button" onClick={() => void tell('pause', { paused: !run.paused })}>
            {run.paused ? text.goOn : text.pause}
          </button>
        )}
        <button type="button" class="button" onClick={() => void tell('stop', {})}>
          {run.ended ? text.another : text.end}
        </button>
      </p>
    </section>
  );
}
