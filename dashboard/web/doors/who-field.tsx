import { change, settings } from '../settings.ts';
import { signedName } from './entry.ts';

/** Asks who stands here; left out where somebody has signed in, since the server knows then. */
export function WhoField({ id, label, hint }: { id: string; label: string; hint?: string }) {
  if (signedName.value !== null) return null;
  const hintId = `${id}-hint`;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        value={settings.value.who}
        maxLength={80}
        autocomplete="off"
        aria-describedby={hint === undefined ? undefined : hintId}
        onInput={(event) => change({ who: event.currentTarget.value })}
      />
      {hint === undefined ? null : (
        <p class="field-hint" id={hintId}>
          {hint}
        </p>
      )}
    </div>
  );
}
