import '../styles/unload.css';
import type { UnloadSummary } from '../../../shared/unloads.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { unload as text } from '../text/unload.ts';
import { Cautions } from './cautions.tsx';
import { Guesses } from './guesses.tsx';
import { Past } from './past.tsx';
import { pastStamp } from './past-stamp.ts';
import { Planner } from './planner.tsx';
import { Scheduled } from './scheduled.tsx';
import { Underway } from './underway.tsx';

/** Hot loads: what is asked, what is underway, what is to come, what would be, and what was. */
export function UnloadPage() {
  const { state, base } = site.value;
  const live = state.value;
  const open = live?.unloads.open ?? [];
  const asked = useAnswer<UnloadSummary[]>(`${base}/unloads`, pastStamp(live?.unloads));
  if (live === null) return null;
  const past = asked.value ?? [];
  const underway = open.filter(({ stage }) => stage === 'underway');
  return (
    <div class="unload">
      <div class="page-head">
        <h1>{text.title}</h1>
        <p class="quiet">{text.lead}</p>
      </div>
      <Guesses live={live} past={past} />
      {underway.map((view) => (
        <Underway key={view.id} live={live} view={view} linked />
      ))}
      {open
        .filter(({ stage }) => stage === 'scheduled')
        .map((view) => (
          <Scheduled key={view.id} live={live} view={view} />
        ))}
      <Planner live={live} past={past} another={underway.length > 0}>
        <Cautions live={live} />
      </Planner>
      <NotRead asked={asked} />
      <Past live={live} past={past} title={text.past} />
    </div>
  );
}
