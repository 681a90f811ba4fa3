import type { CohortForecast } from '../../../shared/forecasts.ts';
import { type CohortWords, cohortWords, type ReadyWords } from '../format/cohort-words.ts';
import { numberOf } from '../format/value.ts';
import { rooms } from '../text/rooms.ts';

interface Props {
  forecast: CohortForecast;
  now: number;
  zone: string;
}

/** What is to be known of a cohort at a glance: when it is ready, what a shake gains, what was assumed. */
export function CohortLine({ forecast, now, zone }: Props) {
  const words = cohortWords(forecast, now, zone);
  const parts = [
    shakeText(words),
    <Ready ready={words.ready} key="ready" />,
    words.useBy === null
      ? null
      : words.useBy.past
        ? rooms.pastUse(words.useBy.day)
        : rooms.useBy(words.useBy.day),
    words.warmHours === null ? null : rooms.warm(numberOf(words.warmHours, 1)),
  ].filter((part) => part !== null);
  return (
    <>
      {parts.map((part, at) => (
        <span class={at === 0 ? 'phrase phrase-first' : 'phrase'} key={at}>
          {part}
        </span>
      ))}
    </>
  );
}

/** `ready Thu 26 – Fri 27 – Sun 29`, the likely day bold; `bare` where the word stands before it already. */
export function Ready({ ready, bare = false }: { ready: ReadyWords; bare?: boolean }) {
  if (ready.kind === 'now') return <strong>{bare ? rooms.now : rooms.readyNow}</strong>;
  if (ready.kind === 'stalled') return <strong>{rooms.stalled}</strong>;
  if (ready.kind === 'unknown') return <>{rooms.readyUnknown}</>;
  const { earliest, likely, latest } = ready.days;
  return (
    <>
      {bare ? '' : `${rooms.ready} `}
      {earliest === null ? '' : `${earliest} – `}
      <strong>{likely}</strong>
      {latest === null ? '' : ` – ${latest}`}
    </>
  );
}

function shakeText({ shake }: CohortWords) {
  if (shake === null) return null;
  const gain = shake.gainDays === null ? null : numberOf(shake.gainDays, 1);
  if (shake.when === 'later') return rooms.shakeLater(shake.from ?? '');
  return <strong>{shake.when === 'now' ? rooms.shakeNow(gain) : rooms.shakeClosing(gain)}</strong>;
}
