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
}

/** A label, its field, a hint, and what is wrong with it right below. */
export function PlainField({ id, label, value, onInput, hint, problem, ...rest }: Props) {
  const { type = 'text', autocomplete = 'off', maxLength = 200 } = rest;
  const described = [hint && `${id}-hint`, problem && `${id}-problem`].filter(Boolean).join(' ');
  const field = {
    id,
    value,
    maxLength,
    autocomplete,
    'aria-invalid': problem !== undefined,
    ...(described === '' ? {} : { 'aria-describedby': described }),
    onInput: (event: { currentTarget: HTMLInputElement }) => onInput(event.currentTarget.value),
  };
  return (
    <div class={problem === undefined ? 'field' : 'field field-wrong'}>
      <label for={id}>{label}</label>
      {type === 'password' ? <input {...field} type="password" /> : <input {...field} type="text" />}
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
