import type { ComponentChildren } from 'preact';
import { newestReading, shownAlarms } from '../climate.ts';
import { PriorityShape } from '../drawing/priority.tsx';
import { clockOf, clockSecondsOf, spanOf } from '../format/time.ts';
import { inScreenUnit } from '../format/value.ts';
import { link, place, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';
import { train } from '../text/train.ts';
import { wall } from '../text/wall.ts';
import { Navigation } from './navigation.tsx';
import { TrainingStrip } from './training-strip.tsx';

/** What is around every page but the wall: where one is, how old things are, and what presses. */
export function Frame({ children }: { children: ComponentChildren }) {
  const { state, now } = site.value;
  const live = state.value;
  const zone = live?.farm.site.timeZone ?? 'UTC';
  const newest = live === null ? null : newestReading(live.channels);
  return (
    <div class="frame">
      <a class="skip" href="#content">
        {common.nav.skip}
      </a>
      <TrainingStrip />
      <header class="frame-head">
        <p class="frame-site">
          <a href={link({ name: 'wall' })}>{live?.farm.site.name ?? common.product}</a>
          {live?.kind === 'demo' ? <span class="frame-kind">{common.demo}</span> : null}
        </p>
        <Navigation />
        {live === null ? null : (
          <p class="frame-clock">
            <span class="frame-age">
              {newest === null ? wall.noReadings : wall.readingsAge(spanOf(now.value - newest))}
            </span>
            <strong>{clockOf(now.value, zone)}</strong>
          </p>
        )}
      </header>
      <Pressing zone={zone} />
      <main class="page" id="content" tabIndex={-1} key={place.value.page.name}>
        {live === null && place.value.page.name !== 'train' ? <NotYet /> : children}
      </main>
    </div>
  );
}

function NotYet() {
  if (site.value.absent.value)
    return (
      <div class="page-note">
        <h1>{train.noRun}</h1>
        <p>{train.noRunWhy}</p>
        <a class="button" href="/train">
          {train.chooseAndStart}
        </a>
      </div>
    );
  return <p class="page-note">{site.value.outOfContact.value ? common.noServer : common.connecting}</p>;
}

/** What may not be missed on any screen: no contact, the top alarm, a notice. */
function Pressing({ zone }: { zone: string }) {
  const { state, outOfContact, lastHeardAt } = site.value;
  const [alarm, ...others] = shownAlarms(state.value?.alarms ?? []).filter(({ ringing }) => ringing);
  const notice = state.value?.notices[0];
  return (
    <div class="pressing" role="status">
      {outOfContact.value && state.value !== null ? (
        <p class="press press-contact">
          <strong>{common.noContact(clockSecondsOf(lastHeardAt.value, zone))}</strong>{' '}
          {common.noContactAdvice}
        </p>
      ) : null}
      {alarm === undefined || place.value.page.name === 'alarms' ? null : (
        <a class="press press-alarm" href={link({ name: 'alarms' })}>
          <PriorityShape priority={alarm.priority} label={common.priority(alarm.priority)} />
          <span>
            <strong>{inScreenUnit(alarm.title, settings.value.temperature)}</strong>
            {others.length > 0 ? ` ${common.more(others.length)}` : ''}
          </span>
        </a>
      )}
      {notice === undefined || place.value.page.name === 'farm' ? null : (
        <p class="press press-notice">{notice.text}</p>
      )}
    </div>
  );
}
