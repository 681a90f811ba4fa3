import type { ComponentChildren } from 'preact';
import { useMemo } from 'preact/hooks';
import type { LiveState } from '../../../shared/live.ts';
import type { UnloadPlan } from '../../../shared/unloads.ts';
import { MarkIcon } from '../drawing/mark.tsx';
import { inScreenUnit } from '../format/value.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { answerWords, type Way } from './answer-words.ts';
import { Doses } from './doses.tsx';
import { batchName } from './names.ts';
import { PlanCharts } from './plan-charts.tsx';
import type { PlanDraft } from './plan-draft.ts';

interface Props {
  live: LiveState;
  plan: UnloadPlan;
  reckoning: boolean;
  /** Takes a way that was offered into the form; null where there is none. */
  onTake: ((change: Partial<PlanDraft>) => void) | null;
  /** What can be done about it, right below the words. */
  children?: ComponentChildren;
}

/** What an unload would do: in words first, then drawn, then what it rests on. */
export function Answer({ live, plan, reckoning, onTake, children }: Props) {
  const { temperature } = settings.value;
  const zone = live.farm.site.timeZone;
  const now = site.value.now.value;
  const doubts = plan.doubts ?? [];
  const words = answerWords(plan, {
    ...{ now, zone, temperature },
    batchName: (batch) => batchName(batch, live),
  });
  return (
    <>
      <section class="card verdict" aria-labelledby="answer" aria-live="polite" aria-busy={reckoning}>
        <p class="verdict-reckoning quiet">{reckoning ? text.reckoning : ''}</p>
        <h2 id="answer" class={words.bad ? 'verdict-bad' : ''}>
          {words.bad ? <MarkIcon mark="ran-hot" /> : null}
          {words.verdict}
        </h2>
        <p>{words.peak}</p>
        {doubts.length === 0 ? null : (
          <p class="verdict-doubt">
            <MarkIcon mark="look" /> {text.doubted}
          </p>
        )}
      </section>
      <section class="card answer" aria-label={text.answer}>
        {doubts.map((doubt) => (
          <p class="caution" key={doubt}>
            {inScreenUnit(doubt, temperature)}
          </p>
        ))}
        <p class="answer-chief">{words.harm}</p>
        <Ways ways={words.ways} fits={plan.advice.fits} onTake={onTake} />
        {children}
        <ul class="answer-facts">
          <li>{words.cool}</li>
          <li>{words.surface}</li>
          {words.limits.map((limit) => (
            <li key={limit}>{limit}</li>
          ))}
          <li>{words.largest}</li>
          {words.back === null ? null : <li>{words.back}</li>}
        </ul>
      </section>
      <PlanCharts live={live} plan={plan} />
      <Doses live={live} cohorts={plan.cohorts} />
      <Assumed assumed={plan.assumed} />
    </>
  );
}

interface WaysProps {
  ways: readonly Way[];
  fits: boolean;
  onTake: Props['onTake'];
}

function Ways({ ways, fits, onTake }: WaysProps) {
  if (fits) return null;
  if (ways.length === 0) return <p>{text.noWay}</p>;
  return (
    <div class="ways">
      <h3>{text.ways}</h3>
      <ul>
        {ways.map(({ words, change }) => (
          <li key={words}>
            <span>{words}</span>
            {change === null || onTake === null ? null : (
              <button type="button" class="button" onClick={() => onTake(change)}>
                {text.planSo}
                <span class="unseen">: {words}</span>
              </button>
            )}
          </li>
        ))}
      </ul>
    </div>
  );
}

export function Assumed({ assumed }: { assumed: readonly string[] }) {
  const { temperature } = settings.value;
  const said = useMemo(() => assumed.map((one) => inScreenUnit(one, temperature)), [assumed, temperature]);
  if (said.length === 0) return null;
  return (
    <section class="card" aria-labelledby="assumed">
      <h2 id="assumed">{text.assumed}</h2>
      <ul class="plain-list">
        {said.map((one) => (
          <li key={one}>{one}</li>
        ))}
      </ul>
    </section>
  );
}
