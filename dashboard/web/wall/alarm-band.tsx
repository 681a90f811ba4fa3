import { useSignal } from '@preact/signals';
import type { AlarmView } from '../../../shared/alarms.ts';
import { minuteMs } from '../../../shared/time.ts';
import { acknowledge } from '../alarms/act.ts';
import { mayActOnAlarms } from '../doors/entry.ts';
import { lookOf, PriorityShape } from '../drawing/priority.tsx';
import { inScreenUnit } from '../format/value.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { wall } from '../text/wall.ts';

interface Props {
  alarm: AlarmView;
  /** How many more there are below it. */
  more: number;
  /** How many are shelved. */
  held: number;
}

/** A message that has not gone out by then is late: the sender tries again within seconds. */
const promptMs = 2 * minuteMs;

const isOverdue = ({ delivery, since }: AlarmView): boolean =>
  delivery.waiting > 0 && site.value.now.value - since > promptMs;

/** As many letters leave room for the button beside them. */
const briefTitle = 38;

/** An alarm across the whole wall: what and how far, what to do and how long there is. */
export function AlarmBand({ alarm, more, held }: Props) {
  const unit = settings.value.temperature;
  const failed = useSignal<string | null>(null);
  const tell = async () => {
    failed.value = null;
    failed.value = await acknowledge(alarm.id);
  };
  const title = inScreenUnit(alarm.title, unit);
  const { failed: givenUp, waiting } = alarm.delivery;
  const trouble = givenUp > 0 || isOverdue(alarm) ? wall.undelivered(givenUp, waiting) : null;
  const looks = ['band', `band-${lookOf[alarm.state]}`];
  if (alarm.state.startsWith('latched')) looks.push('band-latched');
  const besides = [more > 0 ? common.more(more) : null, held > 0 ? wall.held(held, null) : null].filter(
    (words) => words !== null,
  );
  if (besides.length > 0) looks.push('band-several');
  if (title.length <= briefTitle) looks.push('band-brief');
  return (
    <section class={looks.join(' ')} aria-label={common.alarmState[alarm.state]}>
      <PriorityShape priority={alarm.priority} label={common.priority(alarm.priority)} />
      <p class="band-title">
        <a href={link({ name: 'alarm', id: alarm.id })}>{title}</a>
      </p>
      <p class="band-advice">
        {trouble === null ? null : <strong class="band-trouble">{trouble}. </strong>}
        {failed.value === null ? inScreenUnit(alarm.advice, unit) : wall.acknowledgeFailed(failed.value)}
      </p>
      {alarm.ringing && mayActOnAlarms.value ? (
        <button type="button" class="band-button" onClick={tell}>
          {wall.acknowledge}
        </button>
      ) : (
        <span class="band-state">
          {alarm.state === 'latched-acknowledged' ? wall.reset : common.alarmState[alarm.state]}
        </span>
      )}
      {besides.length > 0 ? (
        <a class="band-more" href={link({ name: 'alarms' })}>
          {besides.join(', ')}
        </a>
      ) : null}
    </section>
  );
}
