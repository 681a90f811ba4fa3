import type { RunState } from '../../../shared/live.ts';
import { momentOf } from '../format/time.ts';
import { site } from '../screen.ts';
import { common } from '../text/common.ts';

/** On every screen of a training run: that it is one, whose time it is, and the way to its controls. */
export function TrainingStrip() {
  const { name, state, now } = site.value;
  if (name !== 'training') return null;
  const live = state.value;
  return (
    <aside class="training-strip" aria-label={common.training}>
      <strong class="training-word">{common.training}</strong>
      <span class="training-line">{common.trainingLine(paceWords(live?.run ?? null))}</span>
      {live === null ? null : (
        <span class="training-time">{momentOf(now.value, live.farm.site.timeZone)}</span>
      )}
      <a class="training-way-out" href="/train">
        {common.trainingControls}
      </a>
    </aside>
  );
}

/** A hatched edge around the whole screen. */
export const TrainingEdge = () => <span class="training-edge" aria-hidden="true" />;

/** How fast a run goes, or that it does not. */
export function paceWords(run: RunState | null): string {
  if (run === null) return '';
  if (run.ended) return common.ended;
  return run.paused ? common.paused : common.pace(run.speed);
}
