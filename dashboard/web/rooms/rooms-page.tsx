import '../styles/rooms.css';
import { useEffect } from 'preact/hooks';
import type { BagMark } from '../../../shared/forecasts.ts';
import type { FarmView, LiveState } from '../../../shared/live.ts';
import { ringingShelves, roomValue, shownAlarms } from '../climate.ts';
import { MarkIcon } from '../drawing/mark.tsx';
import { type ByShelf, standingByShelf } from '../drawing/standing.ts';
import { ValueOnScale } from '../parts/value-on-scale.tsx';
import { openRecord } from '../record/open.ts';
import { RecordPanel } from '../record/record-panel.tsx';
import { coolersNow } from '../room/cooler-words.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { rooms } from '../text/rooms.ts';
import { wall } from '../text/wall.ts';
import { Guesses } from '../unload/guesses.tsx';
import { unloadLine } from '../unload/underway-words.ts';
import { CohortItem } from './cohort-item.tsx';
import { ShelfRow } from './shelf-row.tsx';

const legend: BagMark[] = ['shake', 'ready', 'too-old', 'ran-hot', 'look'];

/** Where everything stands and when it is ready, rack by rack as one walks. */
export function RoomsPage() {
  const state = site.value.state.value;
  useEffect(() => {
    if (location.hash !== '')
      document.getElementById(decodeURIComponent(location.hash.slice(1)))?.scrollIntoView();
  }, []);
  if (state === null) return null;
  const standing = standingByShelf(state.batches, state.forecasts, state.farm.containers);
  return (
    <div class="rooms">
      <div class="page-head">
        <h1>{rooms.title}</h1>
        <ul class="legend" aria-label={rooms.legend}>
          {legend.map((mark) => (
            <li key={mark}>
              <MarkIcon mark={mark} /> {common.mark[mark]}
            </li>
          ))}
        </ul>
        <p class="page-acts">
          <button type="button" class="button only-wide" onClick={() => print()}>
            {rooms.print}
          </button>
          <button type="button" class="button button-chief" onClick={() => openRecord({})}>
            {rooms.record}
          </button>
        </p>
      </div>
      <Guesses live={state} />
      {state.farm.rooms.map((room) => (
        <RoomSection key={room.id} state={state} room={room} standing={standing} />
      ))}
      <Unplaced state={state} />
      <p class="page-safety">{rooms.safety}</p>
      <RecordPanel />
    </div>
  );
}

interface RoomProps {
  state: LiveState;
  room: FarmView['rooms'][number];
  standing: ByShelf;
}

function RoomSection({ state, room, standing }: RoomProps) {
  const forecasts = new Map(state.forecasts.map((forecast) => [forecast.cohort, forecast]));
  const alarms = shownAlarms(state.alarms).filter((alarm) => alarm.room === room.id);
  const ringing = ringingShelves(alarms, state.farm.channels);
  const quantityOf = new Map(state.farm.channels.map(({ id, quantity }) => [id, quantity]));
  return (
    <section class="one-room" id={room.id} aria-labelledby={`name-${room.id}`}>
      <header class="one-room-head">
        <h2 id={`name-${room.id}`}>
          <a href={link({ name: 'room', id: room.id })}>{room.name}</a>
        </h2>
        <RoomUnloads state={state} room={room.id} />
        {(['temperature', 'humidity'] as const).map((quantity) => {
          const value = roomValue(state, room, quantity);
          const alarm = alarms.find(
            ({ channel, shelf }) =>
              shelf === null && channel !== null && quantityOf.get(channel) === quantity,
          );
          return value === null ? (
            <p class="value-none" key={quantity}>{`${wall.noValue} (${common.quantity[quantity]})`}</p>
          ) : (
            <ValueOnScale
              key={quantity}
              value={value}
              limits={room.limits[quantity]}
              aheadMin={alarm?.respondWithinMin ?? 60}
              alarmed={alarm?.conditionHolds === true}
              word={quantity === 'humidity' ? wall.humid : null}
            />
          );
        })}
        <RoomCoolers state={state} room={room.id} />
      </header>
      <div class="racks">
        {room.racks.map((rack) => (
          <section class="rack-card" key={rack.id} aria-labelledby={`rack-${rack.id}`}>
            <h3 id={`rack-${rack.id}`}>{rooms.rack(rack.name)}</h3>
            <ol class="shelves">
              {rack.shelves.map((shelf) => (
                <ShelfRow
                  key={shelf.id}
                  state={state}
                  shelf={shelf}
                  places={Math.max(6, ...rack.shelves.map(({ places }) => places))}
                  row={standing.get(shelf.id) ?? []}
                  forecasts={forecasts}
                  alarmed={ringing.has(shelf.id)}
                />
              ))}
            </ol>
          </section>
        ))}
      </div>
    </section>
  );
}

/** Whether its cooler runs, where something tells. */
function RoomCoolers({ state, room }: { state: LiveState; room: string }) {
  const words = site.value.outOfContact.value ? null : coolersNow(state, room);
  return words === null ? null : <p class="quiet">{words}</p>;
}

/** What cools in this room, or will. */
function RoomUnloads({ state, room }: { state: LiveState; room: string }) {
  const place = {
    now: site.value.now.value,
    zone: state.farm.site.timeZone,
    temperature: settings.value.temperature,
  };
  return (
    <>
      {state.unloads.open
        .filter((view) => view.room === room)
        .map((view) => (
          <p class="room-unload" key={view.id}>
            <a class="row-link" href={link({ name: 'one-unload', id: view.id })}>
              {unloadLine(view, place)}
            </a>
          </p>
        ))}
    </>
  );
}

/** Bags that were made but stand nowhere yet: the forecast knows no air for them. */
function Unplaced({ state }: { state: LiveState }) {
  const waiting = state.batches.flatMap(({ cohorts }) => cohorts.filter(({ shelf }) => shelf === null));
  if (waiting.length === 0) return null;
  const forecasts = new Map(state.forecasts.map((forecast) => [forecast.cohort, forecast]));
  return (
    <section class="one-room unplaced" aria-labelledby="unplaced">
      <h2 id="unplaced">{rooms.unplaced}</h2>
      <ul class="shelf-words">
        {waiting.map(({ id }) => (
          <CohortItem key={id} state={state} cohort={id} forecast={forecasts.get(id)} />
        ))}
      </ul>
    </section>
  );
}
