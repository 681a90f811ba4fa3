import type { FarmView, LiveState } from '../../../shared/live.ts';
import type { LiveValue, Quantity } from '../../../shared/readings.ts';
import { secondMs } from '../../../shared/time.ts';
import { spanOf } from '../format/time.ts';
import { writingOf, written } from '../format/value.ts';
import { stateWords } from '../room/cooler-words.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { farm as text } from '../text/farm.ts';

interface Props {
  live: LiveState;
  now: number;
}

/** Every channel with what it said last and when. */
export function Sensors({ live, now }: Props) {
  const head = text.sensorHead;
  const { channels } = live.farm;
  return (
    <section class="card farm-wide" aria-labelledby="sensors">
      <h2 id="sensors">{text.sensors}</h2>
      {channels.length === 0 ? <p class="quiet">{text.sensorsNone}</p> : null}
      {channels.length === 0 ? null : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{head.place}</th>
                <th scope="col">{head.channel}</th>
                <th scope="col" class="number">
                  {head.value}
                </th>
                <th scope="col">{head.state}</th>
                <th scope="col">{head.seen}</th>
                <th scope="col">{head.every}</th>
              </tr>
            </thead>
            <tbody>
              {channels.map((channel) => (
                <ChannelRow key={channel.id} live={live} channel={channel} now={now} />
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}

const valueWords = (quantity: Quantity, value: number): string =>
  quantity === 'cooler-on'
    ? stateWords(value)
    : written(value, writingOf(quantity, settings.value.temperature));

function stateOf(value: LiveValue | undefined): string {
  if (value === undefined || value.silent) return text.silent;
  return value.idle ? text.idle : text.quality[value.quality];
}

function ChannelRow({ live, channel, now }: Props & { channel: FarmView['channels'][number] }) {
  const value = live.channels[channel.id];
  const room = live.farm.rooms.find(({ id }) => id === channel.room)?.name ?? channel.room;
  const lost = site.value.outOfContact.value;
  const state = stateOf(value);
  const well = state === text.idle || (!lost && state === text.quality.good);
  const old = lost || state === text.silent || state === text.idle;
  return (
    <tr>
      <td>{channel.shelf === null ? room : `${channel.shelf}, ${room}`}</td>
      <td>
        {channel.sensor} <span class="quiet">{common.quantity[channel.quantity]}</span>
      </td>
      <td class={old ? 'number old-value' : 'number'}>
        {value === undefined ? '–' : valueWords(channel.quantity, value.value)}
      </td>
      <td>{well ? <span class="quiet">{state}</span> : <strong>▲ {state}</strong>}</td>
      <td class="when">{value === undefined ? text.never : text.ago(spanOf(now - value.t))}</td>
      <td class="when quiet">{text.every(spanOf(channel.everyS * secondMs))}</td>
    </tr>
  );
}
