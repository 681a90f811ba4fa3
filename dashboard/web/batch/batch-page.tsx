import '../styles/batch.css';
import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { BagEvent } from '../../../shared/bags.ts';
import { writeBags } from '../../../shared/batches/bag-list.ts';
import type { BatchState } from '../../../shared/batches.ts';
import type { LiveState } from '../../../shared/live.ts';
import { dayMs } from '../../../shared/time.ts';
import { momentNear } from '../format/time.ts';
import { namesOf } from '../parts/names.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { openRecord } from '../record/open.ts';
import { RecordPanel } from '../record/record-panel.tsx';
import { link, site } from '../screen.ts';
import { batch as text } from '../text/batch.ts';
import { common } from '../text/common.ts';
import { rooms } from '../text/rooms.ts';
import { Curves } from './curves.tsx';
import { Events } from './events.tsx';
import { Facts } from './facts.tsx';

interface Detail {
  state: BatchState;
  events: BagEvent[];
}

/** One making: what it is, how far it is, when it is ready, and what that rests on. */
export function BatchPage({ id }: { id: string }) {
  const live = site.value.state.value;
  const current = live?.batches.find((batch) => batch.id === id);
  // The stream replaces a batch when anything happens to it: then its events are asked for again.
  const detail = useAnswer<Detail>(`${site.value.base}/batches/${encodeURIComponent(id)}`, current);
  const chosen = useSignal<string | null>(null);
  const batch = current ?? detail.value?.state;
  const names = useMemo(() => (live === null ? null : namesOf(live.farm)), [live?.farm]);
  if (live === null || names === null) return null;
  if (batch === undefined) return <Missing id={id} failed={detail.failed} />;

  const cohort = batch.cohorts.find((one) => one.id === chosen.value) ?? batch.cohorts[0];
  const forecast = live.forecasts.find((one) => one.cohort === cohort?.id);
  const what = names.strain(batch.strain);
  return (
    <div class="batch">
      <div class="page-head">
        <div>
          <h1>{what}</h1>
          <p class="quiet">{subtitle(live, batch, names.container(batch.container))}</p>
          <Lineage live={live} batch={batch} />
          <p class="lineage">
            <a href={link({ name: 'strain', id: batch.strain })}>{text.aboutStrain}</a>
          </p>
        </div>
        <p class="page-acts">
          <button type="button" class="button button-chief" onClick={() => openRecord({ batch: batch.id })}>
            {text.record}
          </button>
        </p>
      </div>
      {batch.cohorts.length > 1 ? (
        <fieldset class="cohort-choice">
          <legend class="unseen">{text.cohorts}</legend>
          {batch.cohorts.map(({ id: cohortId, bags, shelf }) => (
            <label class="kind" key={cohortId}>
              <input
                type="radio"
                name="cohort"
                checked={cohortId === cohort?.id}
                onChange={() => {
                  chosen.value = cohortId;
                }}
              />
              <span>{text.cohort(writeBags(bags), shelf ?? common.notPlaced)}</span>
            </label>
          ))}
        </fieldset>
      ) : null}
      <div class="batch-grid">
        {cohort === undefined ? null : (
          <Facts live={live} batch={batch} cohort={cohort} forecast={forecast} />
        )}
        {cohort === undefined ? null : <Curves what={what} cohort={cohort} forecast={forecast} />}
        <Events events={detail.value?.events ?? []} failed={detail.failed} zone={live.farm.site.timeZone} />
      </div>
      <RecordPanel />
    </div>
  );
}

function Missing({ id, failed }: { id: string; failed: string | null }) {
  if (failed === null) return <p class="page-note">{common.loading}</p>;
  return (
    <div class="page-note">
      <h1>{text.missing(id)}</h1>
      <a class="button" href={link({ name: 'rooms' })}>
        {text.toRooms}
      </a>
    </div>
  );
}

function subtitle(live: LiveState, batch: BatchState, container: string): string {
  const now = site.value.now.value;
  const zone = live.farm.site.timeZone;
  const names = namesOf(live.farm);
  const where = batch.cohorts.map(({ bags, shelf }) => {
    const room = shelf === null ? undefined : names.roomOf(shelf);
    const count = common.bags(bags.length);
    if (shelf === null) return text.standingNowhere(count);
    return text.standing(count, room === undefined ? shelf : `${shelf}, ${room.name}`);
  });
  return [
    batch.id,
    rooms.generation[batch.generation],
    container,
    where.length === 0 ? text.noneStands : where.join('; '),
    text.day(Math.floor((now - batch.madeAt) / dayMs)),
    text.made(momentNear(batch.madeAt, now, zone), batch.madeBy),
  ].join(' · ');
}

/** Where it came from and where it went. */
function Lineage({ live, batch }: { live: LiveState; batch: BatchState }) {
  const children = live.batches.filter(({ parent }) => parent?.batch === batch.id);
  const { parent } = batch;
  return (
    <p class="lineage">
      <span class="unseen">{text.lineage}: </span>
      {parent === null ? (
        <span class="quiet">{text.fromNothing}</span>
      ) : (
        <a href={link({ name: 'batch', id: parent.batch })}>
          {parent.bag === undefined ? parent.batch : text.fromBag(parent.batch, parent.bag)}
        </a>
      )}
      <Arrow />
      <strong>{batch.id}</strong>
      <Arrow />
      {children.length === 0 ? <span class="quiet">{text.notPoured}</span> : null}
      {children.map(({ id }) => (
        <a key={id} href={link({ name: 'batch', id })}>
          {id}
        </a>
      ))}
    </p>
  );
}

const Arrow = () => (
  <svg class="lineage-arrow" viewBox="0 0 24 12" aria-hidden="true">
    <path d="M1 6 H21 M16 1 L22 6 L16 11" />
  </svg>
);
