import type { LiveState } from '../../../shared/live.ts';
import { inScreenUnit, writingOf, written } from '../format/value.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { heatOnPeople } from './heat-on-people.ts';

interface Props {
  live: LiveState;
  /** Of which heat is told; all unless given. */
  rooms?: readonly string[];
}

/** What may hurt somebody about a hot load; on every screen that speaks of one. */
export function Cautions({ live, rooms }: Props) {
  const { temperature } = settings.value;
  const { caution } = text;
  const writing = writingOf('temperature', temperature);
  const heat = heatOnPeople(live, rooms).map(({ room, wbgtC }) =>
    caution.wbgtIn(room, written(wbgtC, writing)),
  );
  return (
    <section class="card cautions" aria-labelledby="cautions">
      <h2 id="cautions">{text.cautions}</h2>
      <ul>
        <li>{caution.steam}</li>
        <li>{inScreenUnit(caution.burns, temperature)}</li>
        <li>
          {caution.heat}
          {heat.length === 0 ? null : ` ${inScreenUnit(caution.wbgt(heat.join(', ')), temperature)}`}
        </li>
        <li>{caution.slip}</li>
      </ul>
      <p>
        <strong>{caution.law}</strong>
      </p>
    </section>
  );
}
