import { useSignal } from '@preact/signals';
import { doors as text } from '../text/doors.ts';

/** Something that is shown once and can be read nowhere afterwards. */
export function SecretOnce({ words, secret }: { words: string; secret: string }) {
  const copied = useSignal(false);
  // The clipboard is only there on a secure origin; elsewhere the text can be selected whole by a tap.
  const canCopy = 'clipboard' in navigator && isSecureContext;
  return (
    <div class="doors-secret" role="status">
      <p>{words}</p>
      <code>{secret}</code>
      {canCopy ? (
        <p>
          <button
            type="button"
            class="button"
            onClick={() =>
              navigator.clipboard.writeText(secret).then(() => {
                copied.value = true;
              })
            }
          >
            {copied.value ? text.copied : text.copy}
          </button>
        </p>
      ) : null}
    </div>
  );
}
