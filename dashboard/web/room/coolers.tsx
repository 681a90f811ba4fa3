import type { FarmView, LiveState } from '../../../shared/live.ts';
import type { Series } from '../../../shared/readings.ts';
import { dayMs, minuteMs } from '../../../shared/time.ts';
import { searchOf } from '../charts/span.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { cooler as text } from '../text/cooler.ts';
import { coolersOf, nowWords, pastWords } from './cooler-words.ts';

/** Points of a day, and how often it is read again. */
const stepMs = 5 * minuteMs;

/** What a room's coolers do and did, where something tells of them. */
export function Coolers({ live, room }: { live: LiveState; room: string }) {
  const channels = coolersOf(live.farm, room);
  if (channels.length === 0) return null;
  const many = channels.length > 1;
  const air = live.farm.channels.find((one) => one.room === room && one.quantity === 'temperature');
  const shown = [...(air === undefined ? [] : [air.id]), ...channels.map(({ id }) => id)];
  return (
    <section class="card" aria-labelledby="room-coolers">
      <h2 id="room-coolers">{many ? text.titles : text.title}</h2>
      {channels.map((channel) => (
        <Cooler key={channel.id} live={live} channel={channel} named={many} />
      ))}
      <p>
        <a
          class="row-link"
          href={link({ name: 'charts' }) + searchOf({ channels: shown, lengthMs: dayMs, to: null })}
        >
          {many ? text.charts : text.chart}
        </a>
      </p>
    </section>
  );
}

interface Props {
  live: LiveState;
  channel: FarmView['channels'][number];
  named: boolean;
}

function Cooler({ live, channel, named }: Props) {
  const { base, now } = site.value;
  const to = Math.ceil(now.value / stepMs) * stepMs;
  const asked = useAnswer<Series>(
    `${base}/series?channel=${encodeURIComponent(channel.id)}&from=${to - dayMs}&to=${to}&maxPoints=${dayMs / stepMs}`,
  );
  const past = asked.value === null ? null : pastWords(asked.value, now.value);
  return (
    <>
      <p>
        {named ? <strong>{channel.sensor}: </strong> : null}
        {nowWords(live.channels[channel.id], now.value)} {past}
      </p>
      <NotRead asked={asked} />
    </>
  );
}
