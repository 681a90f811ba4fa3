import '../styles/charts.css';
import { useSignal } from '@preact/signals';
import { useEffect, useMemo, useRef } from 'preact/hooks';
import type { AlarmJournalEntry } from '../../../shared/alarms.ts';
import { minuteMs, secondMs } from '../../../shared/time.ts';
import { browserClock } from '../browser-clock.ts';
import { Chart } from '../chart/chart.tsx';
import { readTheme } from '../chart/theme.ts';
import { datedMomentOf } from '../format/time.ts';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { charts } from '../text/charts.ts';
import { common } from '../text/common.ts';
import { ChannelChoice } from './channel-choice.tsx';
import { csvOf } from './csv.ts';
import { pictureOf, saveFile } from './save.ts';
import { channelName, channelsOf, seriesPlan, ticksOf } from './series-plan.ts';
import { SeriesTable } from './series-table.tsx';
import { moved, rangeOf, searchOf, spanMs, spanOf, spans, type View, viewOf, zoomed } from './span.ts';
import { pointsFor, useSeries } from './use-series.ts';

/** Any channels over any span, with their limits and what happened meanwhile. */
export function ChartsPage() {
  const { state, base, now } = site.value;
  const live = state.value!;
  const { farm } = live;
  const all = channelsOf(farm);
  const known = all.map(({ id }) => id);
  const view = useSignal<View>(startView(known));
  const present = useSignal(now.peek());
  const canvas = useRef<HTMLCanvasElement | null>(null);

  const look = (next: View) => {
    view.value = next;
    present.value = now.peek();
    history.replaceState(null, '', location.pathname + searchOf(next));
  };
  // A chart that ends now moves on by itself, more often the closer it looks.
  useEffect(() => {
    const period = Math.min(5 * minuteMs, Math.max(10 * secondMs, view.value.lengthMs / 1_000));
    return browserClock.every(period, () => {
      if (view.peek().to === null) present.value = now.peek();
    });
  }, [view.value.lengthMs]);

  const [from, to] = rangeOf(view.value, present.value);
  const { channels } = view.value;
  const chosen = all.filter(({ id }) => channels.includes(id));
  const { loaded, failed } = useSeries(base, channels, from, to, (id) =>
    pointsFor(farm.channels.find((channel) => channel.id === id)?.quantity),
  );
  const journal = useAnswer<AlarmJournalEntry[]>(`${base}/alarms/journal?from=${from}&to=${to}&limit=500`);
  const temperature = settings.value.temperature;
  const plan = useMemo(() => {
    if (loaded === null) return null;
    const ticks = ticksOf(chosen, live.batches, journal.value ?? []);
    return seriesPlan({ farm, series: loaded.series, from: loaded.from, to: loaded.to, ticks, temperature });
  }, [loaded, farm, temperature, journal.value]);

  const names = chosen.map((channel) => channelName(farm, channel)).join(', ');
  const zone = farm.site.timeZone;
  const words = `${datedMomentOf(from, zone)} ${charts.to} ${datedMomentOf(to, zone)}`;
  const savePicture = async () => {
    if (canvas.current === null) return;
    const { panel, ink, font } = readTheme(document.documentElement);
    const picture = await pictureOf({
      canvas: canvas.current,
      title: `${farm.site.name}: ${names}, ${words}`,
      ground: panel,
      ink,
      font,
    });
    if (picture !== null) saveFile('chart.png', picture);
  };

  if (known.length === 0)
    return (
      <div class="page-note">
        <h1>{charts.title}</h1>
        <p>{charts.noChannels}</p>
      </div>
    );
  return (
    <div class="charts">
      <div class="page-head">
        <h1>{charts.title}</h1>
        <fieldset class="spans">
          <legend class="unseen">{charts.span}</legend>
          {spans.map((span) => (
            <label class="kind" key={span}>
              <input
                type="radio"
                name="span"
                checked={spanOf(view.value.lengthMs) === span}
                onChange={() => look({ ...view.value, lengthMs: spanMs[span] })}
              />
              <span>{charts.spans[span]}</span>
            </label>
          ))}
        </fieldset>
        <p class="charts-way">
          <button type="button" class="button" onClick={() => look(moved(view.value, -1, now.peek()))}>
            {charts.earlier}
          </button>
          <button
            type="button"
            class="button"
            disabled={view.value.to === null}
            onClick={() => look(moved(view.value, 1, now.peek()))}
          >
            {charts.later}
          </button>
          <button
            type="button"
            class="button"
            disabled={view.value.to === null}
            onClick={() => look({ ...view.value, to: null })}
          >
            {charts.toNow}
          </button>
        </p>
      </div>
      <div class="charts-grid">
        <ChannelChoice
          farm={farm}
          chosen={channels}
          onChange={(next) => look({ ...view.value, channels: next })}
        />
        <section class="card charts-main" aria-label={names}>
          <p class="quiet">{words}</p>
          {failed === null ? null : <p class="charts-failed">{common.failed(failed)}</p>}
          {channels.length === 0 ? <p class="page-note">{charts.choose}</p> : null}
          {plan !== null && channels.length > 0 && plan.x.length === 0 ? (
            <p class="page-note">{charts.nothing}</p>
          ) : null}
          {plan === null || plan.x.length === 0 || channels.length === 0 ? null : (
            <>
              <Chart
                plan={plan}
                height={innerWidth < 700 ? 320 : 540}
                label={charts.label(names, datedMomentOf(from, zone), datedMomentOf(to, zone))}
                onZoom={(start, end) => look(zoomed(view.value, start, end))}
                onDrawn={(drawn) => {
                  canvas.current = drawn;
                }}
              />
              <p class="quiet">{charts.events}</p>
              <p class="charts-save">
                <button
                  type="button"
                  class="button"
                  onClick={() =>
                    saveFile(
                      'readings.csv',
                      new Blob([csvOf(loaded?.series ?? [], all)], { type: 'text/csv' }),
                    )
                  }
                >
                  {charts.csv}
                </button>
                <button type="button" class="button" onClick={savePicture}>
                  {charts.png}
                </button>
              </p>
              <SeriesTable farm={farm} series={loaded?.series ?? []} />
            </>
          )}
        </section>
      </div>
    </div>
  );
}

/** From the address, or the first temperature there is. */
function startView(known: readonly string[]): View {
  const view = viewOf(location.search, known);
  if (view.channels.length > 0) return view;
  const first = known.find((id) => id.endsWith('.temperature')) ?? known[0];
  return { ...view, channels: first === undefined ? [] : [first] };
}
