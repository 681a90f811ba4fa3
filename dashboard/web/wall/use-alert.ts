import { useEffect, useRef } from 'preact/hooks';
import { type Cancel, secondMs } from '../../../shared/time.ts';
import { browserClock } from '../browser-clock.ts';
import { shownAlarms } from '../climate.ts';
import { inScreenUnit } from '../format/value.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { wall } from '../text/wall.ts';
import { type Alerted, alertStep, silent, tuneOf } from './alert-plan.ts';
import { askForSound, hush, play, say } from './sound.ts';

/** Sounds and speaks the top alarm until somebody acknowledges it. */
export function useAlert(): void {
  const { sound } = settings.value;
  const alerted = useRef<Alerted>(silent);
  const ringing = shownAlarms(site.value.state.value?.alarms ?? []).find((alarm) => alarm.ringing);
  const step = () => {
    const top = shownAlarms(site.peek().state.peek()?.alarms ?? []).find((alarm) => alarm.ringing);
    const { after, sound: sounds, say: says } = alertStep(alerted.current, top, browserClock.now());
    alerted.current = after;
    if (top === undefined) return hush();
    if (sounds) play(tuneOf[top.priority]);
    const unit = settings.peek().temperature;
    if (says) say(wall.spoken(inScreenUnit(top.title, unit), inScreenUnit(top.advice, unit)));
  };
  useEffect(() => {
    if (!sound) return;
    let stop: Cancel = () => {};
    // Once the wall is drawn: opening the loudspeaker costs a slow machine time.
    const cancel = browserClock.after(secondMs, () => {
      stop = askForSound();
    });
    return () => {
      cancel();
      stop();
    };
  }, [sound]);
  useEffect(() => {
    if (!sound) return hush();
    step();
    return browserClock.every(secondMs, step);
  }, [sound, ringing?.id, ringing?.since]);
  useEffect(() => hush, []);
}
