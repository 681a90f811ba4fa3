import '../styles/alarms.css';
import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { secondMs } from '../../../shared/time.ts';
import type { LimitedBand } from '../../../shared/tuning.ts';
import { spanOf } from '../format/time.ts';
import { withUnit } from '../format/value.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarms } from '../text/alarms.ts';
import { limits as text } from '../text/limits.ts';
import { AlarmTabs } from './alarm-tabs.tsx';
import { defaultOf } from './limit-draft.ts';
import { LimitEditor } from './limit-editor.tsx';

/** Name of a band in the address: `#warm.temperature`. */
const anchorOf = ({ at, measure }: LimitedBand): string => `${at}.${measure}`;

/** Every limit of the farm; one at a time is tried on the past and changed. */
export function LimitsPage() {
  const { state, base } = site.value;
  const { farm } = state.value!;
  const asked = useAnswer<LimitedBand[]>(`${base}/limits`, farm.version);
  const open = useSignal<string | null>(decodeURIComponent(location.hash.slice(1)) || null);
  const bands = asked.value ?? [];
  useEffect(() => {
    if (open.value !== null) document.getElementById(open.value)?.scrollIntoView({ block: 'start' });
  }, [bands.length > 0]);
  const shelves = bands.filter(({ inherited }) => inherited);
  const unlimited = bands.filter(({ limited }) => !limited);
  const list = (some: readonly LimitedBand[]) => (
    <ul class="band-list">
      {some.map((band) => {
        const anchor = anchorOf(band);
        const isOpen = open.value === anchor;
        return (
          <li class="card" key={anchor} id={anchor}>
            <div class="band-line">
              <h2>{`${band.name}, ${text.measure[band.measure]}`}</h2>
              {band.limited ? <p class="quiet">{summaryOf(band)}</p> : null}
              <button
                type="button"
                class="button"
                aria-expanded={isOpen}
                onClick={() => {
                  open.value = isOpen ? null : anchor;
                }}
              >
                {isOpen ? text.close : text.change}
                <span class="unseen"> {`${band.name}, ${text.measure[band.measure]}`}</span>
              </button>
            </div>
            {isOpen ? <LimitEditor band={band} farm={farm} onSaved={asked.again} /> : null}
          </li>
        );
      })}
    </ul>
  );
  return (
    <div class="alarms">
      <div class="page-head">
        <h1>{alarms.tabs.limits}</h1>
        <AlarmTabs />
      </div>
      <p class="quiet">{text.intro}</p>
      <NotRead asked={asked} />
      {list(bands.filter(({ inherited, limited }) => !inherited && limited))}
      {shelves.length === 0 ? null : (
        <Folded summary={text.inherited} unfolded={shelves.some((band) => anchorOf(band) === open.value)}>
          <p class="quiet">{text.inheritedHint}</p>
          {list(shelves)}
        </Folded>
      )}
      {unlimited.length === 0 ? null : (
        <Folded summary={text.unlimited} unfolded={unlimited.some((band) => anchorOf(band) === open.value)}>
          {list(unlimited)}
        </Folded>
      )}
    </div>
  );
}

interface FoldedProps {
  summary: string;
  /** As it is first shown; then it opens and closes by hand alone, whatever is edited in it. */
  unfolded: boolean;
  children: ComponentChildren;
}

function Folded({ summary, unfolded, children }: FoldedProps) {
  const [open] = useState(unfolded);
  return (
    <details open={open}>
      <summary>{summary}</summary>
      {children}
    </details>
  );
}

/** `5 min`; `90 s` where it is no whole minutes. */
const delayOf = (seconds: number): string =>
  seconds % 60 === 0 ? spanOf(seconds * secondMs) : `${seconds} s`;

/** `too low 20, too high 28 °C; deadband 0.2, rings after 5 min` */
function summaryOf(band: LimitedBand): string {
  const { temperature } = settings.value;
  const shown = (field: 'lowLow' | 'low' | 'high' | 'highHigh' | 'deadband') =>
    defaultOf(band, field, temperature);
  const unit = band.unit === '°C' && temperature === 'F' ? '°F' : band.unit;
  const levels = (['lowLow', 'low', 'high', 'highHigh'] as const).flatMap((field) => {
    const value = shown(field);
    return value === null ? [] : [`${text.field[field].toLowerCase()} ${value}`];
  });
  return text.summary(
    withUnit(levels.join(', '), unit),
    shown('deadband') ?? '',
    delayOf(band.holds.onDelayS),
    band.holds.during.length,
  );
}
