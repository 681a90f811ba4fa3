import type { StrainPage } from '../../../shared/api/strains.ts';
import type { Band } from '../../../shared/forecasts.ts';
import { numberOf, percentOf } from '../format/value.ts';
import { strain as text } from '../text/strain.ts';

const places = (value: number): number => (Math.abs(value) < 10 ? 2 : 1);
const rangeOf = ({ low, likely, high }: Band): string =>
  `${numberOf(likely, places(likely))} (${numberOf(low, places(low))} – ${numberOf(high, places(high))})`;

/** What is believed of the next batch of each way of inoculating, beside what was assumed before any. */
export function Traits({ page }: { page: StrainPage }) {
  return (
    <section class="card strain-wide" aria-labelledby="learned">
      <h2 id="learned">{text.learned}</h2>
      <p class="quiet">{text.learnedHint}</p>
      {page.traits.map(({ way, batches, traits }) => (
        <div class="table-wrap" key={way}>
          <table class="stack">
            <caption>{text.way(text.ways[way] ?? way, batches)}</caption>
            <thead>
              <tr>
                <th scope="col">{text.traitHead.trait}</th>
                <th scope="col">{text.traitHead.before}</th>
                <th scope="col">{text.traitHead.now}</th>
                <th scope="col" class="number">
                  {text.traitHead.sharper}
                </th>
                <th scope="col">{text.traitHead.support}</th>
              </tr>
            </thead>
            <tbody>
              {traits.map(({ trait, text: words, assumed, learned, sharper, support }) => (
                <tr key={trait}>
                  <td>{words}</td>
                  <td data-label={text.traitHead.before}>{rangeOf(assumed)}</td>
                  <td data-label={text.traitHead.now}>{rangeOf(learned)}</td>
                  <td class="number" data-label={text.traitHead.sharper}>
                    {percentOf(sharper)}
                  </td>
                  <td data-label={text.traitHead.support}>{support}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      ))}
    </section>
  );
}

/** Every number of the species with what it rests on. */
export function Support({ page }: { page: StrainPage }) {
  return (
    <section class="card" aria-labelledby="support">
      <h2 id="support">{text.support}</h2>
      <dl class="strain-facts">
        {page.support.map(({ key, text: words, value, unit, support }) => (
          <div key={key}>
            <dt>{words}</dt>
            <dd>
              <strong>
                {numberOf(value, Number.isInteger(value) ? 0 : 1)} {unit}
              </strong>{' '}
              <span class={support === text.assumed ? 'strain-assumed' : 'quiet'}>{support}</span>
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
