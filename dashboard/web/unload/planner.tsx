import { signal, useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import type { LiveState } from '../../../shared/live.ts';
import { dayMs, type EpochMs, hourMs } from '../../../shared/time.ts';
import type { UnloadQuestion, UnloadSummary } from '../../../shared/unloads.ts';
import { isOperator } from '../doors/entry.ts';
import { momentNear } from '../format/time.ts';
import { inScreenUnit, writingOf } from '../format/value.ts';
import { localOf } from '../format/zoned.ts';
import { newId } from '../parts/new-id.ts';
import { goTo, link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { useTelling } from './act.ts';
import { Acts } from './acts.tsx';
import { Answer } from './answer.tsx';
import { type PlanDraft, presetOf, questionOf } from './plan-draft.ts';
import { PlannerForm } from './planner-form.tsx';
import { chosenProbe, freeChannels } from './probes.ts';
import { usePlan } from './use-plan.ts';

/** What was typed; it stays while one looks at another page. */
const typed = signal<PlanDraft | null>(null);

interface Props {
  live: LiveState;
  past: readonly UnloadSummary[];
  /** Something is underway already. */
  another: boolean;
  /** Stands beside the answer where there is room, below its words where there is not. */
  children: ComponentChildren;
}

/** Further ahead than a plan reaches; it may be scheduled all the same. */
const isFar = ({ at }: UnloadQuestion, now: EpochMs): boolean => at !== null && at - now > dayMs;

/** Asks what an unload would do, and answers as the question changes. */
export function Planner({ live, past, another, children }: Props) {
  const { base, now } = site.value;
  const { farm } = live;
  const free = freeChannels(live);
  const draft = typed.value ?? presetOf(farm, past);
  const writing = writingOf('temperature', settings.value.temperature);
  const result = questionOf(draft, { farm, now: now.value, writing });
  const question = result.ok ? result.question : null;
  const { plan, problem, reckoning } = usePlan(base, question);
  const change = (part: Partial<PlanDraft>) => {
    // An hour is proposed when one is first asked for.
    const at =
      part.when === 'at' && part.at === undefined && draft.at === ''
        ? { at: localOf(now.peek() + hourMs, farm.site.timeZone) }
        : {};
    // Each room has probes of its own.
    const probe = part.room === undefined ? {} : { probe: null };
    typed.value = { ...draft, ...part, ...at, ...probe };
  };
  const declaring = (of: UnloadQuestion) => (
    <Declare question={of} zone={farm.site.timeZone} probe={chosenProbe(draft, free)} />
  );
  return (
    <div class="planner">
      <PlannerForm
        farm={farm}
        free={free}
        draft={draft}
        problems={result.ok ? {} : result.problems}
        onChange={change}
        title={another ? text.plannerAnother : text.planner}
      />
      <div class="planner-answer">
        {plan === null || question === null ? (
          <section class="card verdict" aria-labelledby="answer" aria-busy={reckoning}>
            <h2 id="answer">{text.answer}</h2>
            <p role="status">
              {question === null
                ? text.mendFirst
                : problem === null || reckoning
                  ? text.reckoning
                  : text.noAnswer(inScreenUnit(problem, settings.value.temperature))}
            </p>
            {question === null || !isFar(question, now.value) ? null : declaring(question)}
          </section>
        ) : (
          <Answer live={live} plan={plan} reckoning={reckoning} onTake={change}>
            {declaring(question)}
          </Answer>
        )}
      </div>
      {children}
    </div>
  );
}

interface DeclareProps {
  question: UnloadQuestion;
  zone: string;
  /** Nothing where the room has none to choose from. */
  probe: { probe?: string | null };
}

/** One tap that says they are in the room, or that they will be. */
function Declare({ question, zone, probe }: DeclareProps) {
  const telling = useTelling();
  const { busy, tell } = telling;
  const id = useSignal(newId());
  const said = useSignal<string | null>(null);
  const { room, load, options, at } = question;
  if (!isOperator.value) return <p class="quiet">{text.viewerOnly}</p>;
  const declare = async () => {
    if (!(await tell({ unload: id.peek(), kind: 'begun', room, load, options, ...probe }))) return;
    const path = link({ name: 'one-unload', id: id.peek() });
    id.value = newId();
    goTo(path);
  };
  const now = site.value.now.value;
  const schedule = async () => {
    if (at === null || !(await tell({ unload: id.peek(), kind: 'scheduled', room, load, at, options })))
      return;
    id.value = newId();
    said.value = text.scheduled(momentNear(at, now, zone));
  };
  const words = load.count === 1 ? text.declareOne : text.declare;
  return (
    <Acts telling={telling} said={said.value}>
      {at === null ? null : (
        <button type="button" class="button button-chief" aria-disabled={busy.value} onClick={schedule}>
          {text.schedule(momentNear(at, now, zone))}
        </button>
      )}
      <button
        type="button"
        class={at === null ? 'button button-chief' : 'button'}
        aria-disabled={busy.value}
        onClick={declare}
      >
        {busy.value ? text.telling : words}
      </button>
    </Acts>
  );
}
