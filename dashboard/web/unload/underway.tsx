import { useMemo } from 'preact/hooks';
import type { LiveState } from '../../../shared/live.ts';
import type { UnloadDetail, UnloadNow, UnloadView } from '../../../shared/unloads.ts';
import { isOperator } from '../doors/entry.ts';
import { MarkIcon } from '../drawing/mark.tsx';
import { momentNear, spanOf } from '../format/time.ts';
import { inScreenUnit } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { useTelling } from './act.ts';
import { Acts, SureAct } from './acts.tsx';
import { Measure } from './measure.tsx';
import { loadWords, roomName } from './names.ts';
import { PlanCharts } from './plan-charts.tsx';
import { ProbeChoice, ProbeFact } from './probe.tsx';
import { againstPlan, countdown, rangeOf, surfaceNow, tempWords } from './underway-words.ts';
import { useCurve } from './use-curve.ts';

interface Props {
  live: LiveState;
  view: UnloadView;
  /** The heading leads to its own page. */
  linked?: boolean;
}

/** What a hot load in a room does now: the countdown first, then what to mind, then the curves. */
export function Underway({ live, view, linked = false }: Props) {
  const { temperature } = settings.value;
  const now = site.value.now.value;
  const zone = live.farm.site.timeZone;
  const place = { now, zone, temperature };
  const { value, to, range, cool } = countdown(view, place);
  const surface = surfaceNow(view, place);
  const state = view.now;
  const heading = `underway-${view.id}`;
  const title = text.underway(roomName(view.room, live.farm));
  return (
    <section class="underway" aria-labelledby={`${heading} ${heading}-since`}>
      <div class="card underway-card">
        <h2 id={heading}>
          {linked ? <a href={link({ name: 'one-unload', id: view.id })}>{title}</a> : title}
        </h2>
        <p class="quiet" id={`${heading}-since`}>
          {text.underwaySince(
            loadWords(view.load, live.farm),
            momentNear(view.at, now, zone),
            spanOf(now - view.at),
          )}
        </p>
        <p class={cool ? 'countdown countdown-cool' : 'countdown'}>
          <strong>{value}</strong>
          <span>
            {to} {range === null ? null : <span class="quiet">{range}</span>}
          </span>
        </p>
        {surface === null ? null : <p class="caution">{surface}</p>}
        {state === null ? null : <Remarks remarks={state.remarks} notes={state.notes} />}
        {state === null ? null : (
          <dl class="now-facts">
            <div>
              <dt>{text.nowAir}</dt>
              <dd>
                <strong>{state.airC === null ? text.noAir : tempWords(state.airC, temperature)}</strong>{' '}
                <span class="quiet">{againstPlan(state.beyondK, temperature)}</span>
              </dd>
            </div>
            <div>
              <dt>{text.nowCore}</dt>
              <dd>
                <strong>{tempWords(state.coreC.likely, temperature)}</strong>{' '}
                <span class="quiet">{rangeOf(state.coreC, temperature)}</span>
              </dd>
            </div>
            <div>
              <dt>{text.nowSurface}</dt>
              <dd>
                <strong>{tempWords(state.surfaceC, temperature)}</strong>
              </dd>
            </div>
            {state.probe === null ? null : <ProbeFact probe={state.probe} />}
          </dl>
        )}
        {isOperator.value ? (
          <>
            <Measure unload={view.id} />
            <ProbeChoice live={live} view={view} />
            <EndOrTakeBack unload={view.id} />
          </>
        ) : null}
      </div>
      {view.plan === null ? <p class="card quiet">{text.noPlan}</p> : <LiveCurves live={live} view={view} />}
    </section>
  );
}

/** What goes wrong, marked; what differs for the better, plainly. */
function Remarks({ remarks, notes }: Pick<UnloadNow, 'remarks' | 'notes'>) {
  const { temperature } = settings.value;
  if (remarks.length + notes.length === 0) return <p>{text.asPlanned}</p>;
  return (
    <>
      {remarks.length === 0 ? null : (
        <div class="remarks">
          <h3>
            <MarkIcon mark="look" /> {text.remarks}
          </h3>
          <ul>
            {remarks.map((remark) => (
              <li key={remark}>{inScreenUnit(remark, temperature)}</li>
            ))}
          </ul>
        </div>
      )}
      {notes.map((note) => (
        <p class="quiet" key={note}>
          {inScreenUnit(note, temperature)}
        </p>
      ))}
    </>
  );
}

function EndOrTakeBack({ unload }: { unload: string }) {
  const telling = useTelling();
  return (
    <Acts telling={telling}>
      <SureAct
        telling={telling}
        words={text.end}
        sure={text.endSure}
        doing={{ unload, kind: 'ended', because: 'hand' }}
      />
      <SureAct
        telling={telling}
        words={text.takeBack}
        sure={text.takeBackSure}
        doing={{ unload, kind: 'withdrawn' }}
      />
    </Acts>
  );
}

/** The farm renews its curves this often on a screen; a training run's hours pass faster. */
const renewMs = 30_000;
const renewFastMs = 5_000;
/** What is measured, over what was expected. */
function LiveCurves({ live, view }: Props) {
  const { base, tick } = site.value;
  const renewed = Math.floor(tick.value / (live.run === null ? renewMs : renewFastMs));
  const asked = useAnswer<UnloadDetail>(
    `${base}/unloads/${encodeURIComponent(view.id)}`,
    `${renewed} ${view.stage}`,
  );
  const to = useMemo(() => Math.ceil(site.peek().now.peek()), [renewed]);
  const series = useCurve(asked.value?.channels ?? [], view.at, to);
  const probed = useCurve(asked.value?.probes ?? [], view.at, to);
  return (
    <PlanCharts
      live={live}
      plan={view.plan!}
      series={series}
      probed={probed}
      events={asked.value?.events}
      state={view.now}
      id={view.id}
    />
  );
}
