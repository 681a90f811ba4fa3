import '../styles/unload.css';
import { useSignal } from '@preact/signals';
import type { LiveState } from '../../../shared/live.ts';
import type { UnloadGuess, UnloadSummary } from '../../../shared/unloads.ts';
import { isOperator } from '../doors/entry.ts';
import { momentNear } from '../format/time.ts';
import { inScreenUnit } from '../format/value.ts';
import { useFocusOnTurn } from '../parts/use-focus-on-turn.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { useTelling } from './act.ts';
import { Said } from './acts.tsx';
import { roomName } from './names.ts';
import { presetOf } from './plan-draft.ts';
import { Stepper } from './stepper.tsx';

interface Props {
  live: LiveState;
  /** Past unloads, for what is likely to have come in. */
  past?: readonly UnloadSummary[];
}

const nothing: readonly UnloadSummary[] = [];

/** What the air of a room seems to say, asked until somebody answers. */
export function Guesses({ live, past = nothing }: Props) {
  return (
    <>
      {live.unloads.guesses.map((guess) => (
        <Guess key={guess.id} live={live} guess={guess} past={past} />
      ))}
    </>
  );
}

function Guess({ live, guess, past }: Required<Props> & { guess: UnloadGuess }) {
  const { farm } = live;
  const now = site.value.now.value;
  const preset = presetOf(
    farm,
    // Of the same room first: a room mostly gets what it always got.
    [...past].sort((a, b) => Number(b.room === guess.room) - Number(a.room === guess.room)),
  );
  const saying = useSignal(false);
  const first = useFocusOnTurn(saying.value);
  const container = useSignal<string | null>(null);
  const count = useSignal<string | null>(null);
  const wrong = useSignal(false);
  const telling = useTelling();
  const { busy, tell } = telling;
  const { id: unload, room, at } = guess;
  const heading = `guess-${unload}`;
  const save = async (event: Event) => {
    event.preventDefault();
    const said = Number(count.peek() ?? preset.count);
    wrong.value = !(Number.isInteger(said) && said >= 1 && said <= 999);
    if (wrong.peek()) return;
    await tell({
      ...{ unload, kind: 'begun', t: at, room },
      load: { container: container.peek() ?? preset.container, count: said, startC: null },
      options: { fan: false, extraCoolingW: 0 },
    });
  };
  return (
    <section class="guess" aria-labelledby={heading}>
      <h2 id={heading}>{text.guess(momentNear(at, now, farm.site.timeZone), roomName(room, farm))}</h2>
      <p class="quiet">{inScreenUnit(guess.why, settings.value.temperature)}</p>
      {!isOperator.value ? (
        <p class="quiet">{text.guessAsked}</p>
      ) : saying.value ? (
        <form onSubmit={save} noValidate>
          <h3>{text.guessWhat}</h3>
          <div class="guess-what">
            <div class="field">
              <label for={`${heading}-container`}>{text.container}</label>
              <select
                id={`${heading}-container`}
                ref={first}
                value={container.value ?? preset.container}
                onChange={(event) => {
                  container.value = event.currentTarget.value;
                }}
              >
                {farm.containers.map(({ id, name }) => (
                  <option key={id} value={id}>
                    {name}
                  </option>
                ))}
              </select>
            </div>
            <Stepper
              id={`${heading}-count`}
              label={text.count}
              value={count.value ?? preset.count}
              problem={wrong.value ? text.problem.count : undefined}
              onInput={(value) => {
                count.value = value;
              }}
            />
          </div>
          <div class="acts">
            <button type="submit" class="button button-chief" aria-disabled={busy.value}>
              {busy.value ? text.telling : text.guessSave}
            </button>
            <button
              type="button"
              class="button"
              onClick={() => {
                saying.value = false;
              }}
            >
              {text.guessBack}
            </button>
          </div>
        </form>
      ) : (
        <div class="acts">
          <button
            type="button"
            class="button button-chief"
            ref={first}
            onClick={() => {
              // From here on the form is this person's: what past loads propose changes no more.
              container.value ??= preset.container;
              count.value ??= preset.count;
              saying.value = true;
            }}
          >
            {text.guessYes}
          </button>
          <button
            type="button"
            class="button"
            aria-disabled={busy.value}
            onClick={() => void tell({ unload, kind: 'denied' })}
          >
            {text.guessNo}
          </button>
        </div>
      )}
      <Said telling={telling} />
    </section>
  );
}
