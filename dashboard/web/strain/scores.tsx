import type { StrainPage } from '../../../shared/api/strains.ts';
import { numberOf, percentOf } from '../format/value.ts';
import { strain as text } from '../text/strain.ts';

/** The forecast beside both rules on each occasion, with the site's own figure for all strains. */
export function Scores({ page }: { page: StrainPage }) {
  const ofSite = (occasion: string, contestant: string) =>
    page.siteScores.find((one) => one.occasion === occasion && one.contestant === contestant);
  return (
    <section class="card strain-wide" aria-labelledby="scores">
      <h2 id="scores">{text.scores}</h2>
      <p class="quiet">{page.scores.length === 0 ? text.noScores : text.scoresHint}</p>
      {page.scores.length === 0 ? null : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{text.scoreHead.when}</th>
                <th scope="col">{text.scoreHead.who}</th>
                <th scope="col" class="number">
                  {text.scoreHead.count}
                </th>
                <th scope="col" class="number">
                  {text.scoreHead.crps}
                </th>
                <th scope="col" class="number">
                  {text.scoreHead.error}
                </th>
                <th scope="col" class="number">
                  {text.scoreHead.bias}
                </th>
                <th scope="col" class="number">
                  {text.scoreHead.held}
                </th>
                <th scope="col">{text.scoreHead.band}</th>
              </tr>
            </thead>
            <tbody>
              {page.scores.map(
                ({
                  occasion,
                  contestant,
                  count,
                  crpsDays,
                  maeDays,
                  biasDays,
                  coverage: { share, band, holds },
                }) => {
                  const all = ofSite(occasion, contestant);
                  return (
                    <tr
                      key={`${occasion} ${contestant}`}
                      class={contestant === 'forecast' ? 'strain-own' : ''}
                    >
                      <td>{text.occasion[occasion]}</td>
                      <td>{text.contestant[contestant]}</td>
                      <td class="number" data-label={text.scoreHead.count}>
                        {count}
                      </td>
                      <td class="number" data-label={text.scoreHead.crps}>
                        {numberOf(crpsDays, 2)}
                        {all === undefined ? null : (
                          <span class="quiet"> {text.site(numberOf(all.crpsDays, 2))}</span>
                        )}
                      </td>
                      <td class="number" data-label={text.scoreHead.error}>
                        {numberOf(maeDays, 2)}
                      </td>
                      <td class="number" data-label={text.scoreHead.bias}>
                        {numberOf(biasDays, 2)}
                      </td>
                      <td class="number" data-label={text.scoreHead.held}>
                        {percentOf(share)}
                      </td>
                      <td data-label={text.scoreHead.band}>
                        {percentOf(band.low)} – {percentOf(band.high)}
                        {holds ? '' : `, ${text.missed}`}
                      </td>
                    </tr>
                  );
                },
              )}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}
