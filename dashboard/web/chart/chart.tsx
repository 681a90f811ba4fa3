import 'uplot/dist/uPlot.min.css';
import '../styles/chart.css';
import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import { momentOf } from '../format/time.ts';
import { numberOf } from '../format/value.ts';
import { settings } from '../settings.ts';
import { charts } from '../text/charts.ts';
import { dataOf, optionsOf } from './options.ts';
import type { ChartPlan } from './plan.ts';
import { dashes, readTheme } from './theme.ts';

interface Props {
  plan: ChartPlan;
  height: number;
  /** The chart in one sentence; the numbers are in the table behind it. */
  label: string;
  onZoom?: (from: number, to: number) => void;
  /** Charts with the same key move their cursors together. */
  syncKey?: string;
  /** Takes the drawn canvas, for saving it as a picture. */
  onDrawn?: (canvas: HTMLCanvasElement) => void;
}

/** A chart in the one hand that all charts are drawn in. Arrow keys move along it. */
export function Chart({ plan, height, label, onZoom, syncKey, onDrawn }: Props) {
  const host = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  const at = useSignal<number | null>(null);
  const width = useSignal(0);
  const darkMode = useSignal(false);
  const { theme } = settings.value;

  useEffect(() => {
    const watch = new ResizeObserver(([entry]) => {
      width.value = Math.floor(entry?.contentRect.width ?? 0);
    });
    if (host.current !== null) watch.observe(host.current);
    const dark = matchMedia('(prefers-color-scheme: dark)');
    const follow = () => {
      darkMode.value = dark.matches;
    };
    follow();
    dark.addEventListener('change', follow);
    return () => {
      watch.disconnect();
      dark.removeEventListener('change', follow);
    };
  }, []);

  useEffect(() => {
    const { current } = host;
    if (current === null || width.value === 0) return;
    const onPoint = (index: number | null) => {
      at.value = index;
    };
    const size = { width: width.value, height };
    const options = optionsOf(plan, readTheme(current), size, { onPoint, onZoom }, syncKey);
    const drawn = new uPlot(options, dataOf(plan), current);
    plot.current = drawn;
    onDrawn?.(drawn.ctx.canvas);
    // Fonts may come after the first drawing.
    void document.fonts.ready.then(() => plot.current === drawn && drawn.redraw());
    return () => {
      drawn.destroy();
      plot.current = null;
    };
  }, [plan, width.value, theme, darkMode.value, height]);

  const moveTo = (index: number) => {
    const { current } = plot;
    if (current !== null) current.setCursor({ left: current.valToPos(plan.x[index]!, 'x'), top: 10 });
  };
  const last = plan.x.length - 1;
  return (
    <figure class="chart">
      <figcaption class="chart-read">
        <Reading plan={plan} at={at.value} />
      </figcaption>
      <div class="chart-place" style={{ height: `${height}px` }}>
        <div class="chart-host" ref={host} role="img" aria-label={label} />
        {last < 1 ? null : (
          <input
            class="chart-along"
            type="range"
            min="0"
            max={last}
            step={Math.max(1, Math.round(last / 200))}
            value={at.value ?? last}
            aria-label={charts.along(label)}
            aria-valuetext={inWords(plan, at.value ?? last)}
            onInput={(event) => moveTo(Number(event.currentTarget.value))}
          />
        )}
      </div>
    </figure>
  );
}

/** One instant of the chart for the ear. */
function inWords(plan: ChartPlan, at: number): string {
  const t = plan.x[at];
  if (t === undefined) return charts.noReading;
  const lines = plan.lines.map(
    ({ label, scale, values, band }) =>
      `${label} ${valueText(plan, scale, values[at], band?.low[at], band?.high[at])}`,
  );
  return [momentOf(t, plan.zone), ...lines].join(', ');
}

/** The legend, and what the lines say at the cursor. */
function Reading({ plan, at }: { plan: ChartPlan; at: number | null }) {
  const t = at === null ? undefined : plan.x[at];
  return (
    <>
      <span class="chart-when">{t === undefined ? charts.pointHint : momentOf(t, plan.zone)}</span>
      {plan.lines.map(({ label, scale, values, band, hand }) => (
        <span class="chart-line" key={label}>
          <svg viewBox="0 0 34 10" aria-hidden="true">
            {band === null ? null : <rect class="chart-swatch" width="34" height="10" />}
            <path
              class={hand === 0 ? '' : 'quiet-line'}
              d="M1 5 H33"
              stroke-dasharray={dashes[hand]?.join(' ')}
            />
          </svg>
          {label}
          <strong>
            {at === null ? '' : valueText(plan, scale, values[at], band?.low[at], band?.high[at])}
          </strong>
        </span>
      ))}
    </>
  );
}

type Maybe = number | null | undefined;

function valueText(plan: ChartPlan, scale: string, value: Maybe, low: Maybe, high: Maybe): string {
  const { decimals, unit } = plan.scales[scale]!;
  if (value == null) return charts.noReading;
  const text = `${numberOf(value, decimals)} ${unit}`;
  const wide = low != null && high != null && high - low > 10 ** -decimals;
  return wide ? `${text} (${numberOf(low, decimals)}–${numberOf(high, decimals)})` : text;
}
