import { useSignal } from '@preact/signals';
import { useFocusOnTurn } from '../parts/use-focus-on-turn.ts';
import { unload as text } from '../text/unload.ts';

interface Props {
  words: string;
  /** What the second tap says. */
  sure: string;
  busy: boolean;
  onSure: () => void;
}

/** A button that is not pressed by accident: the first tap asks, the second does it. */
export function SureButton({ words, sure, busy, onSure }: Props) {
  const asking = useSignal(false);
  const first = useFocusOnTurn(asking.value);
  const ask = (value: boolean) => {
    asking.value = value;
  };
  if (!asking.value)
    return (
      <button type="button" class="button" ref={first} onClick={() => ask(true)}>
        {words}
      </button>
    );
  return (
    <>
      <button
        type="button"
        class="button button-chief"
        ref={first}
        aria-disabled={busy}
        onClick={() => {
          ask(false);
          onSure();
        }}
      >
        {sure}
      </button>
      <button type="button" class="button" onClick={() => ask(false)}>
        {text.keep}
      </button>
    </>
  );
}
