import type { LiveState } from '../../../shared/live.ts';
import type { UnloadSummary } from '../../../shared/unloads.ts';
import { momentNear } from '../format/time.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { accuracyOf } from './accuracy.ts';
import { loadWords, roomName } from './names.ts';
import { stepWords, tempWords } from './underway-words.ts';

interface Props {
  live: LiveState;
  past: readonly UnloadSummary[];
  title: string;
}

/** Unloads that are over, with how well the peak of each was foretold. */
export function Past({ live, past, title }: Props) {
  const { temperature } = settings.value;
  const now = site.value.now.value;
  const over = past.filter(({ stage }) => stage === 'ended' || stage === 'withdrawn');
  const accuracy = accuracyOf(over);
  const head = text.pastHead;
  return (
    <section class="card" aria-labelledby="past">
      <h2 id="past">{title}</h2>
      {over.length === 0 ? <p class="quiet">{text.pastNone}</p> : null}
      {accuracy === null ? null : (
        <p class="quiet">
          {text.accuracy(accuracy.planned, accuracy.inside, stepWords(accuracy.offK, temperature))}
        </p>
      )}
      {over.length === 0 ? null : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{head.when}</th>
                <th scope="col">{head.what}</th>
                <th scope="col">{head.room}</th>
                <th scope="col" class="number">
                  {head.peak}
                </th>
                <th scope="col">{head.error}</th>
                <th scope="col">{head.who}</th>
              </tr>
            </thead>
            <tbody>
              {over.map((one) => (
                <tr key={one.id} class={one.stage === 'withdrawn' ? 'past-withdrawn' : undefined}>
                  <td class="when">
                    <a class="row-link" href={link({ name: 'one-unload', id: one.id })}>
                      {momentNear(one.at, now, live.farm.site.timeZone)}
                    </a>
                  </td>
                  <td>{loadWords(one.load, live.farm)}</td>
                  <td>{roomName(one.room, live.farm)}</td>
                  <td class="number" data-label={head.peak}>
                    {one.peakC === null ? '–' : tempWords(one.peakC, temperature)}
                  </td>
                  <td data-label={head.error}>{errorWords(one)}</td>
                  <td>{one.who}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}

function errorWords({ stage, peakErrorK, peakInBand }: UnloadSummary): string {
  if (stage === 'withdrawn') return text.stage.withdrawn;
  if (peakErrorK === null) return text.errorUnknown;
  const step = stepWords(peakErrorK, settings.value.temperature);
  return text.error(peakErrorK > 0 ? `+${step}` : step, peakInBand === true);
}
