import { inScreenUnit, writingOf, written } from '../format/value.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';

/** What may hurt somebody about a hot load; on every screen that speaks of one. */
export function Cautions({ wbgtC = null }: { wbgtC?: number | null }) {
  const { temperature } = settings.value;
  const { caution } = text;
  return (
    <section class="card cautions" aria-labelledby="cautions">
      <h2 id="cautions">{text.cautions}</h2>
      <ul>
        <li>{caution.steam}</li>
        <li>{inScreenUnit(caution.burns, temperature)}</li>
        <li>
          {caution.heat}
          {wbgtC === null ? null : ` ${caution.wbgt(written(wbgtC, writingOf('temperature', temperature)))}`}
        </li>
        <li>{caution.slip}</li>
      </ul>
      <p>
        <strong>{caution.law}</strong>
      </p>
    </section>
  );
}
