import '../styles/unload.css';
import type { LiveState } from '../../../shared/live.ts';
import type { RoomPage as Known } from '../../../shared/unloads.ts';
import { MarkIcon } from '../drawing/mark.tsx';
import { momentNear } from '../format/time.ts';
import { inScreenUnit, numberOf, writingOf } from '../format/value.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { batch } from '../text/batch.ts';
import { common } from '../text/common.ts';
import { rooms } from '../text/rooms.ts';
import { unload as text } from '../text/unload.ts';
import { Guesses } from '../unload/guesses.tsx';
import { roomName } from '../unload/names.ts';
import { Past } from '../unload/past.tsx';
import { pastStamp } from '../unload/past-stamp.ts';
import { stepWords } from '../unload/underway-words.ts';
import { Coolers } from './coolers.tsx';

/** A room as a body of air and walls: in words, in figures, and what it went through. */
export function RoomPage({ id }: { id: string }) {
  const { state, base } = site.value;
  const live = state.value;
  const open = live?.unloads.open.filter(({ room }) => room === id) ?? [];
  const asked = useAnswer<Known>(`${base}/rooms/${encodeURIComponent(id)}`, pastStamp(live?.unloads));
  if (live === null) return null;
  const page = asked.value;
  if (page === null)
    return (
      <div class="page-note">
        <h1>{asked.failed === null ? common.loading : common.failed(asked.failed)}</h1>
        <a class="button" href={link({ name: 'rooms' })}>
          {batch.toRooms}
        </a>
      </div>
    );
  const guesses = live.unloads.guesses.filter(({ room }) => room === id);
  return (
    <div class="unload room-page">
      <div class="page-head">
        <h1>{roomName(id, live.farm)}</h1>
        <p class="page-acts-inline">
          <a class="button" href={`${link({ name: 'rooms' })}#${encodeURIComponent(id)}`}>
            {text.roomPage.toShelves}
          </a>
          <a class="button" href={link({ name: 'unload' })}>
            {text.planner}
          </a>
        </p>
      </div>
      <Guesses live={{ ...live, unloads: { ...live.unloads, guesses } }} past={page.unloads} />
      {open.map(({ id: unload, stage, at }) => (
        <p key={unload}>
          <a class="row-link" href={link({ name: 'one-unload', id: unload })}>
            {text.roomPage.open(
              text.stage[stage],
              momentNear(at, site.value.now.value, live.farm.site.timeZone),
            )}
          </a>
        </p>
      ))}
      <Coolers live={live} room={id} />
      <InWords page={page} live={live} />
      <Figures page={page} />
      <Past live={live} past={page.unloads} title={text.roomPage.unloads} />
      <Denied page={page} live={live} />
      <p class="page-safety">{rooms.safety}</p>
    </div>
  );
}

function InWords({ page, live }: { page: Known; live: LiveState }) {
  const { temperature } = settings.value;
  const { learnedAt, days, words, notes } = page;
  return (
    <section class="card" aria-labelledby="room-words">
      <h2 id="room-words">{text.roomPage.words}</h2>
      <ul class="room-words">
        {words
          .filter((one) => !notes.includes(one))
          .map((one) => (
            <li key={one}>{inScreenUnit(one, temperature)}</li>
          ))}
      </ul>
      <p class="quiet">
        {learnedAt === null
          ? text.roomPage.assumedOnly
          : text.roomPage.learned(
              momentNear(learnedAt, site.value.now.value, live.farm.site.timeZone),
              Math.round(days),
            )}
      </p>
      {notes.length === 0 ? null : (
        <>
          <h3>
            <MarkIcon mark="look" /> {text.roomPage.notes}
          </h3>
          <ul class="plain-list">
            {notes.map((note) => (
              <li key={note}>{inScreenUnit(note, temperature)}</li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

/** Questions about unloads that were none, and who or what said so. */
function Denied({ page: { denied }, live }: { page: Known; live: LiveState }) {
  if (denied.length === 0) return null;
  const { temperature } = settings.value;
  const words = text.roomPage;
  const moment = (t: number): string => momentNear(t, site.value.now.value, live.farm.site.timeZone);
  return (
    <section class="card" aria-labelledby="room-denied">
      <h2 id="room-denied">{words.denied}</h2>
      <ul class="plain-list">
        {denied.map(({ id, askedAt, why, deniedAt, who, because }) => (
          <li key={id}>
            <span class="when">{moment(askedAt)}</span> · {inScreenUnit(why, temperature)}{' '}
            {because === null
              ? words.deniedBy(who, moment(deniedAt))
              : words.takenBack(moment(deniedAt), because)}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Figures({ page: { figures, residualSdK } }: { page: Known }) {
  if (figures.length === 0) return null;
  const head = text.roomPage.figureHead;
  return (
    <section class="card" aria-labelledby="room-figures">
      <h2 id="room-figures">{text.roomPage.figures}</h2>
      <div class="table-wrap">
        <table class="stack">
          <thead>
            <tr>
              <th scope="col">{head.name}</th>
              <th scope="col" class="number">
                {head.value}
              </th>
              <th scope="col" class="number">
                {head.range}
              </th>
              <th scope="col">{head.sure}</th>
            </tr>
          </thead>
          <tbody>
            {figures.map(({ name, value, unit, low, high, sure }) => (
              <tr key={name}>
                <td>{name}</td>
                <td class="number" data-label={head.value}>
                  <strong>{figure(value, unit)}</strong> {unitOf(unit)}
                </td>
                <td class="number" data-label={head.range}>
                  {figure(low, unit)}–{figure(high, unit)}
                </td>
                <td data-label={head.sure}>{sure ? text.roomPage.sure : text.roomPage.unsure}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {residualSdK === null ? null : (
        <p class="quiet">{text.roomPage.residual(stepWords(residualSdK, settings.value.temperature))}</p>
      )}
    </section>
  );
}

/** Two or three figures that count, no more: the range beside it says how far even these can be trusted. */
function figure(value: number, unit: string): string {
  if (unit === '°C') {
    const { shown, decimals } = writingOf('temperature', settings.value.temperature);
    return numberOf(shown(value), decimals);
  }
  // Two figures, as its words have: what is learned of a room is no surer.
  if (Math.abs(value) >= 100) return Number(value.toPrecision(2)).toLocaleString('en-GB');
  return numberOf(value, Math.abs(value) >= 10 ? 0 : Math.abs(value) >= 1 ? 1 : 2);
}

function unitOf(unit: string): string {
  if (unit === 'part') return '';
  return unit === '°C' ? writingOf('temperature', settings.value.temperature).unit : unit;
}
