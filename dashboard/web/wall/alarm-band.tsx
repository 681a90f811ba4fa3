import { useSignal } from '@preact/signals';
import type { AlarmView } from '../../../shared/alarms.ts';
import { acknowledge } from '../alarms/act.ts';
import { lookOf, PriorityShape } from '../drawing/priority.tsx';
import { inScreenUnit } from '../format/value.ts';
import { link } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { wall } from '../text/wall.ts';

interface Props {
  alarm: AlarmView;
  /** How many more there are below it. */
  more: number;
}

/** As many letters leave room for the button beside them. */
const briefTitle = 38;

/** An alarm across the whole wall: what and how far, what to do and how long there is. */
export function AlarmBand({ alarm, more }: Props) {
  const unit = settings.value.temperature;
  const failed = useSignal<string | null>(null);
  const tell = async () => {
    failed.value = null;
    failed.value = await acknowledge(alarm.id);
  };
  const title = inScreenUnit(alarm.title, unit);
  const looks = ['band', `band-${lookOf[alarm.state]}`];
  if (more > 0) looks.push('band-several');
  if (title.length <= briefTitle) looks.push('band-brief');
  return (
    <section class={looks.join(' ')} aria-label={common.alarmState[alarm.state]}>
      <PriorityShape priority={alarm.priority} label={common.priority(alarm.priority)} />
      <p class="band-title">
        <a href={link({ name: 'alarms' })}>{title}</a>
      </p>
      <p class="band-advice">
        {failed.value === null ? inScreenUnit(alarm.advice, unit) : wall.acknowledgeFailed(failed.value)}
      </p>
      {alarm.ringing ? (
        <button type="button" class="band-button" onClick={tell}>
          {wall.acknowledge}
        </button>
      ) : (
        <span class="band-state">{common.alarmState[alarm.state]}</span>
      )}
      {more > 0 ? (
        <a class="band-more" href={link({ name: 'alarms' })}>
          {common.more(more)}
        </a>
      ) : null}
    </section>
  );
}
