import '../styles/unload.css';
import type { LiveState } from '../../../shared/live.ts';
import { dayMs, type EpochMs } from '../../../shared/time.ts';
import type { UnloadDetail, UnloadEvent, UnloadView } from '../../../shared/unloads.ts';
import { momentNear, momentOf, spanOf } from '../format/time.ts';
import { inScreenUnit } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { unload as text } from '../text/unload.ts';
import { Answer, Assumed } from './answer.tsx';
import { Cautions } from './cautions.tsx';
import { Doses } from './doses.tsx';
import { loadWords, roomName } from './names.ts';
import { PlanCharts } from './plan-charts.tsx';
import { probeName } from './probes.ts';
import { Report } from './report.tsx';
import { Scheduled } from './scheduled.tsx';
import { Underway } from './underway.tsx';
import { tempWords } from './underway-words.ts';
import { useCurve } from './use-curve.ts';
import { usePlan } from './use-plan.ts';

/** One unload with all that is known of it: as it comes, while it cools, and what came of it. */
export function OneUnloadPage({ id }: { id: string }) {
  const { state, base } = site.value;
  const live = state.value;
  const open = live?.unloads.open.find((view) => view.id === id);
  const path = `${base}/unloads/${encodeURIComponent(id)}`;
  // Also once it is over: what came of it is worked out a moment after its end.
  const asked = useAnswer<UnloadDetail>(path, live?.unloads);
  if (live === null) return null;
  const detail = asked.value;
  const view = open ?? detail?.view;
  if (view === undefined)
    return (
      <div class="page-note">
        <h1>{asked.failed === null ? common.loading : text.missing(id)}</h1>
        <a class="button" href={link({ name: 'unload' })}>
          {text.toUnloads}
        </a>
      </div>
    );
  const now = site.value.now.value;
  const zone = live.farm.site.timeZone;
  const { stage, plan } = view;
  return (
    <div class="unload">
      <div class="page-head">
        <h1>
          {loadWords(view.load, live.farm)}, {roomName(view.room, live.farm)}
        </h1>
        <p class="quiet">
          {text.stage[stage]} · {spanWords(view, now, zone)} · {view.who}
        </p>
      </div>
      {stage === 'underway' ? <Underway live={live} view={view} /> : null}
      {stage === 'scheduled' ? (
        <>
          <Scheduled live={live} view={view} />
          <Ahead live={live} view={view} />
        </>
      ) : null}
      {stage === 'ended' || stage === 'withdrawn' ? (
        <Report live={live} report={detail?.report ?? null} none={text.reportNone[stage]} />
      ) : null}
      {stage === 'ended' && plan !== null && detail !== null ? (
        <EndedCurves live={live} detail={{ ...detail, view: { ...view, plan } }} />
      ) : null}
      {plan === null || stage === 'withdrawn' ? null : (
        <>
          {stage === 'ended' ? null : <Doses live={live} cohorts={plan.cohorts} />}
          <Assumed assumed={plan.assumed} />
        </>
      )}
      <Cautions live={live} rooms={[view.room]} />
      <Events live={live} events={detail?.events ?? []} />
      <p>
        <a class="row-link" href={link({ name: 'room', id: view.room })}>
          {text.roomPage.link}
        </a>
      </p>
    </div>
  );
}

/** When it comes, since when it stands there, how long it took, or when it was taken back. */
function spanWords({ stage, at, endedAt }: UnloadView, now: EpochMs, zone: string): string {
  if (endedAt === null) return momentNear(at, now, zone);
  const end = momentNear(endedAt, now, zone);
  // One that did not take place took no time.
  return stage === 'withdrawn' ? end : text.underwayFor(momentNear(at, now, zone), end, spanOf(endedAt - at));
}

/** What one that is scheduled would do by what is known now; a day ahead it begins to be. */
function Ahead({ live, view: { room, load, options, at } }: { live: LiveState; view: UnloadView }) {
  const { base, now } = site.value;
  const isNear = at <= now.value + dayMs;
  const question = { room, load, options, at: at > now.value ? at : null };
  const { plan, problem, reckoning } = usePlan(base, isNear ? question : null);
  if (plan !== null) return <Answer live={live} plan={plan} reckoning={reckoning} onTake={null} />;
  return <p class="quiet">{isNear ? (problem ?? text.reckoning) : text.planLater}</p>;
}

function EndedCurves({ live, detail }: { live: LiveState; detail: UnloadDetail }) {
  const { view, channels, probes, events } = detail;
  const to = view.endedAt ?? view.at;
  const series = useCurve(channels, view.at, to);
  const probed = useCurve(probes, view.at, to);
  return (
    <PlanCharts live={live} plan={view.plan!} series={series} probed={probed} events={events} id={view.id} />
  );
}

function Events({ live, events }: { live: LiveState; events: readonly UnloadEvent[] }) {
  if (events.length === 0) return null;
  return (
    <section class="card" aria-labelledby="unload-events">
      <h2 id="unload-events">{text.events}</h2>
      <ul class="plain-list">
        {[...events].reverse().map((event) => (
          <li key={event.id}>
            <span class="when">{momentOf(event.t, live.farm.site.timeZone)}</span> · {eventWords(event, live)}{' '}
            · {event.who}
          </li>
        ))}
      </ul>
    </section>
  );
}

function eventWords(event: UnloadEvent, { farm }: LiveState): string {
  const { temperature } = settings.value;
  const zone = farm.site.timeZone;
  switch (event.kind) {
    case 'scheduled':
      return text.event.scheduled(loadWords(event.load, farm), momentOf(event.at, zone));
    case 'begun':
      return text.event.begun(
        loadWords(event.load, farm),
        event.probe == null ? null : probeName(farm, event.probe),
      );
    case 'measured':
      return text.event.measured(event.where, tempWords(event.tempC, temperature));
    case 'probed':
      return text.event.probed(event.channel === null ? null : probeName(farm, event.channel));
    case 'ended':
      return text.event.ended(event.because === 'hand');
    case 'asked':
      return text.event.asked(inScreenUnit(event.why, temperature));
    default:
      return text.event[event.kind]();
  }
}
