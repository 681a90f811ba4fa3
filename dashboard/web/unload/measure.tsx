import { useSignal } from '@preact/signals';
import { writingOf, written } from '../format/value.ts';
import { useFocusOnTurn } from '../parts/use-focus-on-turn.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { useTelling } from './act.ts';
import { Said } from './acts.tsx';
import { rangeWords, temperatureOf } from './plan-draft.ts';

type Where = 'core' | 'surface';
/** What may be read off a thermometer here [°C]. */
const rangeC = [-10, 130] as const;

/** A reading in two taps: what with, then save. */
export function Measure({ unload }: { unload: string }) {
  const where = useSignal<Where | null>(null);
  const typed = useSignal('');
  const problem = useSignal<string | null>(null);
  const saved = useSignal<string | null>(null);
  const telling = useTelling();
  const writing = writingOf('temperature', settings.value.temperature);
  // To the field, and from there back to what it was opened with.
  const last = useSignal<Where>('core');
  const first = useFocusOnTurn(where.value);

  const tempC = temperatureOf(typed.value, writing, rangeC);
  const choose = (next: Where) => {
    where.value = next;
    last.value = next;
    saved.value = null;
    problem.value = null;
  };
  const save = async (event: Event) => {
    event.preventDefault();
    const at = where.peek();
    if (at === null) return;
    if (tempC === undefined) {
      problem.value = text.problem.reading(...rangeWords(rangeC, writing));
      return;
    }
    problem.value = null;
    if (!(await telling.tell({ unload, kind: 'measured', where: at, tempC }))) return;
    saved.value = text.measured(text.event.measured(at, written(tempC, writing)));
    typed.value = '';
    where.value = null;
  };
  return (
    <form class="measure" onSubmit={save} noValidate>
      <h3>{text.measure}</h3>
      <p class="measure-where">
        {(['core', 'surface'] as const).map((one) => (
          <button
            type="button"
            key={one}
            ref={where.value === null && last.value === one ? first : null}
            class={where.value === one ? 'button button-chief' : 'button'}
            aria-pressed={where.value === one}
            onClick={() => choose(one)}
          >
            {text.measureWhere[one]}
          </button>
        ))}
      </p>
      {where.value === null ? null : (
        <div class={problem.value === null ? 'field' : 'field field-wrong'}>
          <label for={`reading-${unload}`}>{text.measureField[where.value](writing.unit)}</label>
          <div class="measure-field">
            <input
              id={`reading-${unload}`}
              ref={first}
              value={typed.value}
              inputMode="decimal"
              autocomplete="off"
              maxLength={8}
              aria-invalid={problem.value !== null}
              aria-describedby={`reading-${unload}-hint`}
              onInput={(event) => {
                typed.value = event.currentTarget.value;
              }}
            />
            <button type="submit" class="button button-chief" aria-disabled={telling.busy.value}>
              {tempC === undefined ? text.measureEmpty : text.measureSave(written(tempC, writing))}
            </button>
          </div>
          <p class={problem.value === null ? 'field-hint' : 'field-problem'} id={`reading-${unload}-hint`}>
            {problem.value ?? text.measureHint[where.value]}
          </p>
        </div>
      )}
      <Said telling={telling} said={saved.value} />
    </form>
  );
}
