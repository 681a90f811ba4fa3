import type { AlarmView } from '../../../shared/alarms.ts';
import type { FarmView, LiveState } from '../../../shared/live.ts';
import type { Quantity } from '../../../shared/readings.ts';
import { type PlaceValue, ringingShelves, roomValue } from '../climate.ts';
import { PriorityShape } from '../drawing/priority.tsx';
import { Rack, roomScale } from '../drawing/rack.tsx';
import { rackInWords } from '../drawing/rack-words.ts';
import type { ByShelf } from '../drawing/standing.ts';
import { ValueOnScale } from '../parts/value-on-scale.tsx';
import { link } from '../screen.ts';
import { common } from '../text/common.ts';
import { wall } from '../text/wall.ts';

type Room = FarmView['rooms'][number];

interface Props {
  state: LiveState;
  room: Room;
  standing: ByShelf;
  /** Alarms shown, of this room. */
  alarms: readonly AlarmView[];
}

/** One room on the wall: its climate against its limits, and its racks as they stand. */
export function RoomPanel({ state, room, standing, alarms }: Props) {
  const quantityOf = new Map(state.farm.channels.map(({ id, quantity }) => [id, quantity]));
  const alarmOf = (quantity: Quantity) =>
    alarms.find(
      ({ channel, shelf }) => shelf === null && channel !== null && quantityOf.get(channel) === quantity,
    );
  const alarmedShelves = ringingShelves(alarms, state.farm.channels);
  const scale = roomScale(room.racks);
  const chief = alarms[0];
  return (
    <section class="room" aria-labelledby={`room-${room.id}`}>
      <h2 class="room-name" id={`room-${room.id}`}>
        <a href={`${link({ name: 'rooms' })}#${room.id}`}>{room.name}</a>
        {chief === undefined ? null : (
          <PriorityShape priority={chief.priority} label={common.priority(chief.priority)} />
        )}
      </h2>
      <Climate
        class="room-temperature"
        room={room}
        quantity="temperature"
        state={state}
        alarm={alarmOf('temperature')}
      />
      <Climate
        class="room-humidity"
        room={room}
        quantity="humidity"
        state={state}
        alarm={alarmOf('humidity')}
      />
      <div class="room-racks">
        {room.racks.map((rack) => (
          <figure class="room-rack" key={rack.id}>
            <figcaption aria-hidden="true">{rack.name}</figcaption>
            <Rack
              rack={rack}
              standing={standing}
              scale={scale}
              alarmed={alarmedShelves}
              label={wall.rack(rack.name, rackInWords(rack, standing))}
            />
          </figure>
        ))}
      </div>
    </section>
  );
}

interface ClimateProps {
  class: string;
  state: LiveState;
  room: Room;
  quantity: 'temperature' | 'humidity';
  alarm: AlarmView | undefined;
}

function Climate({ class: name, state, room, quantity, alarm }: ClimateProps) {
  const value: PlaceValue | null = roomValue(state, room, quantity);
  return (
    <div class={name}>
      {value === null ? (
        <p class="value-none">{`${wall.noValue} (${common.quantity[quantity]})`}</p>
      ) : (
        <ValueOnScale
          value={value}
          limits={room.limits[quantity]}
          aheadMin={alarm?.respondWithinMin ?? 60}
          alarmed={alarm?.conditionHolds === true}
          word={quantity === 'humidity' ? wall.humid : null}
        />
      )}
    </div>
  );
}
