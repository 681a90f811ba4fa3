import { useState } from 'preact/hooks';
import { messageOf } from '../../../shared/errors.ts';
import type { ResponseFit } from '../../../shared/growth/fit.ts';
import type { FitOutcome } from '../../../shared/growth/fit-all.ts';
import { numberOf, writingOf } from '../format/value.ts';
import { settings } from '../settings.ts';
import { strain as text } from '../text/strain.ts';
import { fitProblem, parametersOf } from './fit-words.ts';
import { exampleRates, trialRows } from './trial-rows.ts';

/** A fitted curve as the plot draws it: rates as a share of the best, and the rates that it was fitted to. */
export interface Trial {
  name: string;
  points: { tempC: number; share: number }[];
  shareAt: (tempC: number) => number;
}

/** Fits every form, best first. What it takes is loaded when it is first asked for. */
async function fitted(rows: ReturnType<typeof trialRows>['rows']) {
  const [{ fitAll }, { createResponse }] = await Promise.all([
    import('../../../shared/growth/fit-all.ts'),
    import('../../../shared/growth/response.ts'),
  ]);
  const outcomes = fitAll(rows);
  const best = outcomes[0]?.fit;
  const trial: Trial | null =
    best === undefined
      ? null
      : {
          name: text.forms[best.spec.form],
          points: rows.map(({ tempC, rate }) => ({ tempC, share: rate / best.rateAtOptimum })),
          shareAt: createResponse(best.spec),
        };
  return { outcomes, trial };
}

/** Rates of the farm's own trial, typed or pasted, and what each form of response makes of them. */
export function RateTrial({ onTrial }: { onTrial: (trial: Trial | null) => void }) {
  const [typed, setTyped] = useState('');
  const [said, setSaid] = useState<string | null>(null);
  const [outcomes, setOutcomes] = useState<readonly FitOutcome[]>([]);
  const writing = writingOf('temperature', settings.value.temperature);

  const fit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const { rows, wrong } = trialRows(typed, settings.value.temperature === 'F');
    // What is drawn and said is of the rates that stand above it.
    setOutcomes([]);
    onTrial(null);
    if (wrong.length > 0) setSaid(text.trialWrong(wrong));
    else
      try {
        const found = await fitted(rows);
        setOutcomes(found.outcomes);
        onTrial(found.trial);
        setSaid(found.trial === null ? text.trialNone : text.trialBest(found.trial.name));
      } catch (thrown) {
        setSaid(text.trialFailed(fitProblem(messageOf(thrown), settings.value.temperature)));
      }
  };

  return (
    <section class="card strain-wide" aria-labelledby="trial">
      <h2 id="trial">{text.trial}</h2>
      <p class="quiet">{text.trialHint(writing.unit)}</p>
      <form class="strain-trial" onSubmit={fit}>
        <label for="trial-rates">{text.trialRates}</label>
        <textarea
          id="trial-rates"
          rows={6}
          placeholder={exampleRates(writing)}
          value={typed}
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
        <button type="submit" class="button">
          {text.trialFit}
        </button>
      </form>
      <p role="status">{said}</p>
      {outcomes.length === 0 ? null : <Outcomes outcomes={outcomes} />}
    </section>
  );
}

function Outcomes({ outcomes }: { outcomes: readonly FitOutcome[] }) {
  const writing = writingOf('temperature', settings.value.temperature);
  const best = outcomes[0]?.fit;
  return (
    <div class="table-wrap">
      <table class="stack">
        <thead>
          <tr>
            <th scope="col">{text.fitHead.form}</th>
            <th scope="col">{text.fitHead.parameters}</th>
            <th scope="col" class="number">
              {text.fitHead.misses}
            </th>
          </tr>
        </thead>
        <tbody>
          {outcomes.map(({ form, fit, refused }) => (
            <tr key={form}>
              <td>{text.forms[form]}</td>
              <td data-label={text.fitHead.parameters}>
                {fit === undefined
                  ? text.notFitted(fitProblem(refused, settings.value.temperature))
                  : parametersOf(fit, writing)}
                {fit?.degreesOfFreedom === 0 ? text.meetsEvery : null}
              </td>
              <td class="number" data-label={text.fitHead.misses}>
                {fit === undefined ? '–' : numberOf(fit.rmse, 3)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {best === undefined ? null : (
        <>
          <p class="quiet">{text.forFarmFile}</p>
          <pre class="strain-entry">{entryOf(best)}</pre>
        </>
      )}
    </div>
  );
}

/** The response as a line of the strain's entry in the farm file, which is in °C on any screen. */
function entryOf({ spec }: ResponseFit): string {
  const parts = Object.entries(spec).map(
    ([key, value]) => `${key}: ${typeof value === 'number' ? Number(value.toFixed(2)) : value}`,
  );
  return `response: { ${parts.join(', ')} }`;
}
