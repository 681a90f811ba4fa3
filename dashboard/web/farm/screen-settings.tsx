import { useSignal } from '@preact/signals';
import { useLayoutEffect } from 'preact/hooks';
import { WhoField } from '../doors/who-field.tsx';
import { change, settings } from '../settings.ts';
import { farm as text } from '../text/farm.ts';
import { wall } from '../text/wall.ts';

/** How this one screen looks and who stands at it; kept in this browser only. */
export function ScreenSettingsCard() {
  const { theme, temperature, sound } = settings.value;
  return (
    <section class="card screen-settings" aria-labelledby="screen-title">
      <h2 id="screen-title">{text.screen}</h2>
      <fieldset class="setting">
        <legend>{text.theme}</legend>
        {(['system', 'light', 'dark'] as const).map((value) => (
          <label class="kind" key={value}>
            <input
              type="radio"
              name="theme"
              checked={theme === value}
              onChange={() => change({ theme: value })}
            />
            <span>{text.themes[value]}</span>
          </label>
        ))}
      </fieldset>
      <fieldset class="setting">
        <legend>{text.temperature}</legend>
        {(['C', 'F'] as const).map((value) => (
          <label class="kind" key={value}>
            <input
              type="radio"
              name="temperature"
              checked={temperature === value}
              onChange={() => change({ temperature: value })}
            />
            <span>{text.units[value]}</span>
          </label>
        ))}
      </fieldset>
      <WhoField id="screen-who" label={text.who} hint={text.whoHint} />
      <fieldset class="setting">
        <legend>{text.sound}</legend>
        {[true, false].map((value) => (
          <label class="kind" key={String(value)}>
            <input
              type="radio"
              name="sound"
              checked={sound === value}
              onChange={() => change({ sound: value })}
            />
            <span>{value ? text.sounds.on : text.sounds.off}</span>
          </label>
        ))}
      </fieldset>
      <Keys />
    </section>
  );
}

/** Any key can be bound, and so can a foot switch that types one. */
function Keys() {
  const waiting = useSignal(false);
  const { acknowledgeKeys } = settings.value;
  // Before it is painted: once the button asks for a key, the next one counts.
  useLayoutEffect(() => {
    if (!waiting.value) return;
    const bind = (event: KeyboardEvent) => {
      event.preventDefault();
      waiting.value = false;
      const keys = settings.peek().acknowledgeKeys;
      if (event.key !== 'Escape' && event.key !== 'Tab' && !keys.includes(event.key))
        change({ acknowledgeKeys: [...keys, event.key] });
    };
    addEventListener('keydown', bind);
    return () => removeEventListener('keydown', bind);
  }, [waiting.value]);
  return (
    <fieldset class="setting">
      <legend>{text.keys}</legend>
      {acknowledgeKeys.map((key) => (
        <button
          type="button"
          class="button key"
          key={key}
          disabled={acknowledgeKeys.length === 1}
          aria-label={text.keyRemove(wall.keyName(key))}
          onClick={() => change({ acknowledgeKeys: acknowledgeKeys.filter((one) => one !== key) })}
        >
          {wall.keyName(key)}
          <svg viewBox="0 0 12 12" aria-hidden="true">
            <path d="M2 2 L10 10 M10 2 L2 10" />
          </svg>
        </button>
      ))}
      <button
        type="button"
        class="button"
        onClick={() => {
          waiting.value = true;
        }}
      >
        {waiting.value ? text.keyPress : text.keyAdd}
      </button>
    </fieldset>
  );
}
