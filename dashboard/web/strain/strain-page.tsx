import '../styles/strain.css';
import { useState } from 'preact/hooks';
import type { StrainPage as Page } from '../../../shared/api/strains.ts';
import { dayMs } from '../../../shared/time.ts';
import { momentNear } from '../format/time.ts';
import { numberOf } from '../format/value.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { link, site } from '../screen.ts';
import { common } from '../text/common.ts';
import { strain as text } from '../text/strain.ts';
import { RateTrial, type Trial } from './rate-trial.tsx';
import { ResponsePlot } from './response-plot.tsx';
import { Scores } from './scores.tsx';
import { Support, Traits } from './traits.tsx';

/** What is known of a strain: its species' numbers, what its batches taught, and how well they were forecast. */
export function StrainPage({ id }: { id: string }) {
  const { base, state, now } = site.value;
  const live = state.value!;
  const asked = useAnswer<Page>(`${base}/strains/${encodeURIComponent(id)}`);
  const page = asked.value;
  const [trial, setTrial] = useState<Trial | null>(null);
  if (page === null) {
    const known = live.farm.strains.some((one) => one.id === id);
    return (
      <div class="page-note">
        <h1>{known ? common.loading : text.missing(id)}</h1>
        <NotRead asked={asked} />
      </div>
    );
  }
  return (
    <div class="strain">
      <div class="page-head">
        <div>
          <h1>{page.name}</h1>
          <p class="quiet">{text.of(page.species.name, page.species.latin)}</p>
          <p>{text.counts(page.counts.seen, page.counts.censored)}</p>
        </div>
      </div>
      <div class="strain-grid">
        <Scores page={page} />
        <ResponsePlot page={page} trial={trial} />
        <Support page={page} />
        <RateTrial onTrial={setTrial} />
        <Traits page={page} />
        <History page={page} now={now.value} zone={live.farm.site.timeZone} />
      </div>
    </div>
  );
}

/** Each finished batch with how far off it was forecast on each occasion. */
function History({ page, now, zone }: { page: Page; now: number; zone: string }) {
  return (
    <section class="card strain-wide" aria-labelledby="history">
      <h2 id="history">{text.history}</h2>
      {page.finished.length === 0 ? (
        <p class="quiet">{text.noHistory}</p>
      ) : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{text.historyHead.batch}</th>
                <th scope="col">{text.historyHead.made}</th>
                <th scope="col" class="number">
                  {text.historyHead.took}
                </th>
                <th scope="col">{text.historyHead.errors}</th>
              </tr>
            </thead>
            <tbody>
              {page.finished.map(({ batch, way, madeAt, readyAt, forecasts }) => (
                <tr key={batch}>
                  <td>
                    <a class="row-link" href={link({ name: 'batch', id: batch })}>
                      {batch}
                    </a>{' '}
                    <span class="quiet">{text.ways[way]}</span>
                  </td>
                  <td>{momentNear(madeAt, now, zone)}</td>
                  <td class="number">
                    {readyAt === null ? text.unseen : numberOf((readyAt - madeAt) / dayMs, 1)}
                  </td>
                  <td>
                    {forecasts
                      .flatMap(({ occasion, errorDays, inside }) =>
                        errorDays === null
                          ? []
                          : `${text.occasion[occasion]} ${numberOf(errorDays, 1)}${inside === false ? ` (${text.outside})` : ''}`,
                      )
                      .join('; ')}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}
