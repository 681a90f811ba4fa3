import { useSignal } from '@preact/signals';
import { common } from '../text/common.ts';

interface Props {
  id: string;
  label: string;
  value: string;
  onInput: (value: string) => void;
  type?: 'text' | 'password';
  autocomplete?: string;
  hint?: string;
  problem?: string | undefined;
  maxLength?: number;
  inputMode?: 'numeric' | 'decimal';
}

/** A label, its field, a hint, and what is wrong with it right below. A password can be looked at. */
export function PlainField({ id, label, value, onInput, hint, problem, ...rest }: Props) {
  const { type = 'text', autocomplete = 'off', maxLength = 200, inputMode = 'text' } = rest;
  const shown = useSignal(false);
  const described = [hint && `${id}-hint`, problem && `${id}-problem`].filter(Boolean).join(' ');
  const field = {
    id,
    value,
    maxLength,
    inputMode,
    autocomplete,
    'aria-invalid': problem !== undefined,
    ...(described === '' ? {} : { 'aria-describedby': described }),
    onInput: (event: { currentTarget: HTMLInputElement }) => onInput(event.currentTarget.value),
  };
  return (
    <div class={problem === undefined ? 'field' : 'field field-wrong'}>
      <label for={id}>{label}</label>
      {type === 'password' ? (
        <span class="field-secret">
          {shown.value ? (
            <input {...field} type="text" spellcheck={false} />
          ) : (
            <input {...field} type="password" />
          )}
          <button
            type="button"
            class="button"
            aria-pressed={shown.value}
            onClick={() => {
              shown.value = !shown.value;
            }}
          >
            {common.show}
            <span class="unseen"> {label}</span>
          </button>
        </span>
      ) : (
        <input {...field} type="text" />
      )}
      {hint === undefined ? null : (
        <p class="field-hint" id={`${id}-hint`}>
          {hint}
        </p>
      )}
      {problem === undefined ? null : (
        <p class="field-problem" id={`${id}-problem`}>
          {problem}
        </p>
      )}
    </div>
  );
}
