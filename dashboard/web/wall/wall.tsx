import { useLayoutEffect } from 'preact/hooks';
import type { AlarmView } from '../../../shared/alarms.ts';
import { secondMs } from '../../../shared/time.ts';
import { acknowledge } from '../alarms/act.ts';
import { newestReading, shownAlarms } from '../climate.ts';
import { standingByShelf } from '../drawing/standing.ts';
import { clockOf, clockSecondsOf, momentNear, spanOf } from '../format/time.ts';
import { paceWords } from '../frame/training-strip.tsx';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { train } from '../text/train.ts';
import { wall } from '../text/wall.ts';
import { AlarmBand } from './alarm-band.tsx';
import { burnShift } from './burn-shift.ts';
import { GuessBand, GuessNotice } from './guess-band.tsx';
import { roomsOnPage } from './pages.ts';
import { RoomPanel } from './room-panel.tsx';
import { hearing } from './sound.ts';
import { TodayPanel } from './today-panel.tsx';
import { useAlert } from './use-alert.ts';

const roomsPerPage = 2;
const pageTurnMs = 20 * secondMs;

/** The screen for 3-5 m away: needs no hand, says by itself when it is wrong. */
export function Wall() {
  const { state, now, outOfContact, lastHeardAt } = site.value;
  const live = state.value;
  useLayoutEffect(listenForKeys, []);
  useAlert();
  if (live === null) return <Waiting />;

  const { farm } = live;
  const zone = farm.site.timeZone;
  const alarms = shownAlarms(live.alarms);
  const [first, ...rest] = alarms;
  const inAlarm = new Set(alarms.flatMap(({ room, ringing }) => (room !== null && ringing ? [room] : [])));
  const tick = site.value.tick.value;
  const { shown, pages } = roomsOnPage(farm.rooms, inAlarm, roomsPerPage, Math.floor(tick / pageTurnMs));
  const standing = standingByShelf(live.batches, live.forecasts, farm.containers);
  const held = heldInWords(live.alarms, zone, now.value);
  const banded = first !== undefined || outOfContact.value;
  const asked = live.unloads.guesses.length > 0;
  // Beside an alarm the countdown of a load has the better right to the room that is left.
  const noRoomToAsk = outOfContact.value || (first !== undefined && live.unloads.open.length > 0);
  const shift = burnShift(tick);
  const newest = newestReading(live.channels);
  const age = newest === null ? wall.noReadings : wall.readingsAge(spanOf(now.value - newest));
  return (
    <main
      class={banded || asked ? 'wall wall-banded' : 'wall'}
      style={{ '--shift-x': String(shift.x), '--shift-y': String(shift.y) }}
    >
      <header class="wall-head">
        <h1>{farm.site.name}</h1>
        {live.kind === 'training' ? (
          <p class="wall-training">
            <strong class="training-word">{common.training}</strong>
            {asked && noRoomToAsk ? null : <a href="/train">{paceWords(live.run)}</a>}
          </p>
        ) : null}
        <div class="wall-small">
          <p class="wall-age">{age}</p>
          {live.kind === 'demo' ? <p class="wall-age">{common.demo}</p> : null}
        </div>
        {pages > 1 ? (
          <p class="wall-pages">
            {wall.roomsShown(
              farm.rooms.indexOf(shown[0]!) + 1,
              farm.rooms.indexOf(shown.at(-1)!) + 1,
              farm.rooms.length,
            )}
          </p>
        ) : null}
        {first !== undefined || held === null ? null : (
          <p class="wall-held">
            <a href={link({ name: 'alarms' })}>{held}</a>
          </p>
        )}
        <Hearing />
        {noRoomToAsk ? <GuessNotice live={live} /> : null}
        {live.notices.length > 0 ? (
          <p class="wall-notice">
            <a href={link({ name: 'farm' })}>
              {live.notices[0]!.text + wall.noticeMore(live.notices.length - 1)}
            </a>
          </p>
        ) : null}
        <a class="wall-way-in" href={link({ name: 'rooms' })}>
          <span class="unseen">{wall.otherScreens}</span>
          <svg viewBox="0 0 24 24" aria-hidden="true">
            <path d="M4 6 H20 M4 12 H20 M4 18 H20" />
          </svg>
        </a>
        <p class="wall-clock">{clockOf(now.value, zone)}</p>
      </header>
      <div class="wall-rooms">
        {shown.map((room) => (
          <RoomPanel
            key={room.id}
            state={live}
            room={room}
            standing={standing}
            alarms={alarms.filter((alarm) => alarm.room === room.id)}
          />
        ))}
      </div>
      <TodayPanel state={live} />
      <div class="wall-bands" aria-live="assertive">
        {outOfContact.value ? (
          <section class={first === undefined ? 'band band-contact' : 'band band-contact band-slim'}>
            <p class="band-title">{common.noContact(clockSecondsOf(lastHeardAt.value, zone))}</p>
            <p class="band-advice">{common.noContactAdvice}</p>
          </section>
        ) : null}
        {first === undefined ? null : (
          <AlarmBand key={first.id} alarm={first} more={rest.length} held={shelvedOf(live.alarms).length} />
        )}
        {noRoomToAsk ? null : <GuessBand live={live} />}
      </div>
    </main>
  );
}

const shelvedOf = (alarms: readonly AlarmView[]): AlarmView[] =>
  alarms.filter(({ state }) => state === 'shelved');

/** What is shelved is not forgotten: how many, and when the first comes back; null when nothing is. */
function heldInWords(alarms: readonly AlarmView[], zone: string, now: number): string | null {
  const held = shelvedOf(alarms);
  if (held.length === 0) return null;
  const ends = held.flatMap(({ shelvedUntil }) => shelvedUntil ?? []);
  return wall.held(held.length, ends.length === 0 ? null : momentNear(Math.min(...ends), now, zone));
}

/** A browser keeps a page quiet until somebody touches it; a wall that cannot be heard says so. */
function Hearing() {
  if (!settings.value.sound) return <p class="wall-hearing">{wall.soundOff}</p>;
  if (hearing.value !== 'waiting') return null;
  return (
    <p class="wall-hearing">
      <button type="button" class="wall-allow">
        {wall.allowSound}
      </button>
    </p>
  );
}

function Waiting() {
  const { outOfContact, absent } = site.value;
  if (!absent.value)
    return (
      <main class="wall wall-waiting">
        <p>{outOfContact.value ? common.noServer : common.connecting}</p>
      </main>
    );
  return (
    <main class="wall wall-waiting">
      <h1>{train.noRun}</h1>
      <p>{train.noRunWhy}</p>
      <a class="button" href="/train">
        {train.chooseAndStart}
      </a>
    </main>
  );
}

/** The keys of this screen (or a foot switch that types one) acknowledge the top alarm. */
function listenForKeys(): () => void {
  const onKey = (event: KeyboardEvent) => {
    const target = event.target instanceof Element ? event.target : null;
    // A key pressed on a link or button is meant for that.
    if (event.repeat || target?.closest('a, button, input, select, textarea') != null) return;
    if (!settings.peek().acknowledgeKeys.includes(event.key)) return;
    const top = shownAlarms(site.peek().state.peek()?.alarms ?? []).find(({ ringing }) => ringing);
    if (top === undefined) return;
    event.preventDefault();
    void acknowledge(top.id);
  };
  addEventListener('keydown', onKey);
  return () => removeEventListener('keydown', onKey);
}
