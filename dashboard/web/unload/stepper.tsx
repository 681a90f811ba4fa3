import { unload as text } from '../text/unload.ts';

interface Props {
  id: string;
  label: string;
  value: string;
  problem?: string | undefined;
  onInput: (value: string) => void;
}

/** How many, with two large buttons: it works with gloves on. */
export function Stepper({ id, label, value, problem, onInput }: Props) {
  const step = (by: number) => {
    const count = Number.parseInt(value, 10);
    onInput(String(Math.min(999, Math.max(1, (Number.isNaN(count) ? 0 : count) + by))));
  };
  return (
    <div class={problem === undefined ? 'field' : 'field field-wrong'}>
      <label for={id}>{label}</label>
      <div class="stepper">
        <button type="button" class="button" aria-label={text.fewer(label)} onClick={() => step(-1)}>
          −
        </button>
        <input
          id={id}
          value={value}
          inputMode="numeric"
          autocomplete="off"
          maxLength={4}
          aria-invalid={problem !== undefined}
          aria-describedby={problem === undefined ? undefined : `${id}-problem`}
          onInput={(event) => onInput(event.currentTarget.value)}
        />
        <button type="button" class="button" aria-label={text.more(label)} onClick={() => step(1)}>
          +
        </button>
      </div>
      {problem === undefined ? null : (
        <p class="field-problem" id={`${id}-problem`}>
          {problem}
        </p>
      )}
    </div>
  );
}
