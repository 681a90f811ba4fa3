import { useSignal } from '@preact/signals';
import type { AlarmAct, AlarmView } from '../../../shared/alarms.ts';
import type { LiveState } from '../../../shared/live.ts';
import { dayMs, minuteMs } from '../../../shared/time.ts';
import { searchOf } from '../charts/span.ts';
import { lookOf, PriorityShape } from '../drawing/priority.tsx';
import { momentNear, spanOf } from '../format/time.ts';
import { inScreenUnit } from '../format/value.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { alarms as text } from '../text/alarms.ts';
import { common } from '../text/common.ts';
import { actOn } from './act.ts';

interface Props {
  alarm: AlarmView;
  live: LiveState;
  onShelve(): void;
}

/** One alarm: its state by fill, shape and word; what, how far, what to do; and what can be done here. */
export function AlarmCard({ alarm, live, onShelve }: Props) {
  const failed = useSignal<string | null>(null);
  const now = site.value.now.value;
  const zone = live.farm.site.timeZone;
  const unit = settings.value.temperature;
  const act = async (what: AlarmAct) => {
    failed.value = await actOn(alarm.id, what);
  };
  const { sent, waiting, failed: givenUp } = alarm.delivery;
  const small = [
    text.since(spanOf(now - alarm.since)),
    alarm.raisedAt === null ? null : text.raised(momentNear(alarm.raisedAt, now, zone)),
    alarm.shelvedUntil === null ? null : text.shelvedUntil(momentNear(alarm.shelvedUntil, now, zone)),
    text.respond(spanOf(alarm.respondWithinMin * minuteMs)),
    text.delivery(sent, waiting, givenUp),
  ].filter((part) => part !== null);
  return (
    <li class={`alarm alarm-${lookOf[alarm.state]}`}>
      <PriorityShape priority={alarm.priority} label={common.priority(alarm.priority)} />
      <div class="alarm-words">
        <p class="alarm-state">{common.alarmState[alarm.state]}</p>
        <h3>
          <a href={link({ name: 'alarm', id: alarm.id })}>{inScreenUnit(alarm.title, unit)}</a>
        </h3>
        <p class="alarm-advice">{inScreenUnit(alarm.advice, unit)}</p>
        <p>
          {text.consequence}: {inScreenUnit(alarm.consequence, unit)}
        </p>
        <p class="alarm-small">{small.join(' · ')}</p>
        <p class="alarm-failed" role="status">
          {failed.value === null ? '' : text.failed(failed.value)}
        </p>
      </div>
      <p class="alarm-acts">
        <Acts alarm={alarm} act={act} onShelve={onShelve} />
        {alarm.channel === null ? null : (
          <a
            class="button"
            href={
              link({ name: 'charts' }) + searchOf({ channels: [alarm.channel], lengthMs: dayMs, to: null })
            }
          >
            {text.chart}
          </a>
        )}
      </p>
    </li>
  );
}

interface ActsProps {
  alarm: AlarmView;
  act(what: AlarmAct): Promise<void>;
  onShelve(): void;
}

/** Only what this state allows. */
function Acts({ alarm, act, onShelve }: ActsProps) {
  const button = (words: string, onClick: () => void) => (
    <button type="button" class="button" onClick={onClick}>
      {words}
    </button>
  );
  switch (alarm.state) {
    case 'shelved':
      return button(text.unshelve, () => act({ act: 'unshelve' }));
    case 'out-of-service':
      return button(text.backToService, () => act({ act: 'return-to-service' }));
    case 'suppressed':
      return null;
    case 'latched-acknowledged':
      return (
        <>
          {button(text.reset, () => act({ act: 'reset' }))}
          {button(text.shelve, onShelve)}
        </>
      );
    default:
      return (
        <>
          {alarm.ringing ? button(text.acknowledge, () => act({ act: 'acknowledge' })) : null}
          {button(text.shelve, onShelve)}
        </>
      );
  }
}
