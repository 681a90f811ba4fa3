import { momentOf } from '../format/time.ts';
import { site } from '../screen.ts';
import { common } from '../text/common.ts';

/** On every screen of a training run: that it is one, whose time it is, and the way to its controls. */
export function TrainingStrip() {
  const { name, state, now } = site.value;
  if (name !== 'training') return null;
  const live = state.value;
  const run = live?.run ?? null;
  const pace =
    run === null ? '' : run.ended ? common.ended : run.paused ? common.paused : common.pace(run.speed);
  return (
    <aside class="training-strip" aria-label={common.training}>
      <strong class="training-word">{common.training}</strong>
      <span class="training-line">{common.trainingLine(pace)}</span>
      {live === null ? null : (
        <span class="training-time">{momentOf(now.value, live.farm.site.timeZone)}</span>
      )}
      <a class="training-way-out" href="/train">
        {common.trainingControls}
      </a>
      <span class="training-edge" aria-hidden="true" />
    </aside>
  );
}
