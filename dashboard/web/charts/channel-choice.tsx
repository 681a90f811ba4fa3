import { outsidePlace } from '../../../shared/farm/farm.ts';
import type { FarmView } from '../../../shared/live.ts';
import { charts } from '../text/charts.ts';
import { common } from '../text/common.ts';
import { channelsOf } from './series-plan.ts';
import { mostChannels } from './span.ts';

interface Props {
  farm: FarmView;
  chosen: readonly string[];
  onChange(next: string[]): void;
}

/** Channels by room and shelf, as one would look for them. */
export function ChannelChoice({ farm, chosen, onChange }: Props) {
  const toggle = (id: string) =>
    onChange(chosen.includes(id) ? chosen.filter((one) => one !== id) : [...chosen, id].slice(-mostChannels));
  const channels = channelsOf(farm);
  const outside = { id: outsidePlace, name: charts.outside };
  const places = channels.some(({ room }) => room === outsidePlace) ? [...farm.rooms, outside] : farm.rooms;
  return (
    <section class="card channel-choice" aria-labelledby="channels">
      <h2 id="channels">{charts.channels}</h2>
      <p class="quiet">{charts.channelsHint(mostChannels)}</p>
      {places.map((room) => (
        <fieldset key={room.id}>
          <legend>{room.name}</legend>
          {channels
            .filter((channel) => channel.room === room.id)
            .map((channel) => (
              <label class="channel" key={channel.id}>
                <input
                  type="checkbox"
                  checked={chosen.includes(channel.id)}
                  onChange={() => toggle(channel.id)}
                />
                <span>
                  <strong>{channel.shelf ?? (room === outside ? charts.air : charts.room)}</strong>{' '}
                  {common.quantity[channel.quantity]}
                </span>
              </label>
            ))}
        </fieldset>
      ))}
    </section>
  );
}
