import type { LiveState } from '../../../shared/live.ts';
import { clockOf, momentNear } from '../format/time.ts';
import { link, site } from '../screen.ts';
import { wall } from '../text/wall.ts';

/** The oldest open question about a hot load that nobody declared, long and short; null while there is none. */
function questionOf({ unloads, farm }: LiveState) {
  const guess = unloads.guesses[0];
  if (guess === undefined) return null;
  const room = farm.rooms.find(({ id }) => id === guess.room)?.name ?? guess.room;
  const zone = farm.site.timeZone;
  const when = momentNear(guess.at, site.value.now.value, zone);
  // No question is older than a day and some hours: beside all else in the head the hour is enough.
  return { whole: wall.guess(when, room), brief: wall.guessBrief(clockOf(guess.at, zone)) };
}

/** The question across the wall: no alarm, so it has an edge and no colour. */
export function GuessBand({ live }: { live: LiveState }) {
  const question = questionOf(live);
  if (question === null) return null;
  return (
    <section class="band band-question">
      <p class="band-title">
        <a href={link({ name: 'unload' })}>{question.whole}</a>
      </p>
      <p class="band-advice">{wall.guessHow}</p>
    </section>
  );
}

/** The same in the wall's head, where bands below have no room left for it. */
export function GuessNotice({ live }: { live: LiveState }) {
  const question = questionOf(live);
  return question === null ? null : (
    <p class="wall-notice wall-question">
      <a href={link({ name: 'unload' })}>
        {question.brief}
        <span class="unseen"> {question.whole}</span>
      </a>
    </p>
  );
}
