import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { z } from 'zod';
import type { madeScript, scriptView } from '../../../shared/api/doors.ts';
import { scopes } from '../../../shared/door-names.ts';
import type { Scope } from '../../../shared/doors.ts';
import { spanOf } from '../format/time.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { farm } from '../text/farm.ts';
import { SecretOnce } from './secret-once.tsx';
import { createSending } from './send.ts';

type Script = z.infer<typeof scriptView>;
type Made = z.infer<typeof madeScript>;

/** Keys of programs: made, shown once, ended. */
export function Keys() {
  const round = useSignal(0);
  const made = useSignal<Made | null>(null);
  const name = useSignal('');
  const chosen = useSignal<Scope[]>(['read']);
  const days = useSignal('90');
  const sending = useMemo(createSending, []);
  const keys = useAnswer<Script[]>('/api/doors/scripts', round.value);
  const now = site.value.now.value;

  const make = async () => {
    const body = { name: name.value, scopes: chosen.value, days: Number(days.value) };
    const answer = await sending.send<Made>('/api/doors/scripts', body);
    if (!answer.ok) return;
    made.value = answer.value;
    name.value = '';
    round.value += 1;
  };
  const revoke = async (id: string) => {
    const answer = await sending.send(`/api/doors/scripts/${id}/revoke`, {});
    if (answer.ok) round.value += 1;
  };

  return (
    <section class="card doors-card" aria-labelledby="keys">
      <h2 id="keys">{text.keys}</h2>
      {sending.problem.value === null ? null : (
        <p class="doors-refused" role="alert">
          {sending.problem.value.text}
        </p>
      )}
      {made.value === null ? null : (
        <SecretOnce key={made.value.key} words={text.key(made.value.script.name)} secret={made.value.key} />
      )}
      {keys.value?.length === 0 ? <p class="quiet">{text.keysNone}</p> : null}
      {(keys.value?.length ?? 0) === 0 ? null : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{text.keyHead.name}</th>
                <th scope="col">{text.keyHead.may}</th>
                <th scope="col">{text.keyHead.used}</th>
                <th scope="col">{text.keyHead.ends}</th>
                <th scope="col">{text.keyHead.acts}</th>
              </tr>
            </thead>
            <tbody>
              {keys.value!.map((key) => (
                <tr key={key.id}>
                  <td>
                    <strong>{key.name}</strong>
                  </td>
                  <td>{key.scopes.map((one) => text.scope[one]).join(', ')}</td>
                  <td class="when">
                    {key.usedAt === null ? text.never : farm.ago(spanOf(now - key.usedAt))}
                  </td>
                  <td class="when">{spanOf(key.expiresAt - now)}</td>
                  <td>
                    <button type="button" class="button" onClick={() => void revoke(key.id)}>
                      {text.revoke}
                      <span class="unseen"> {key.name}</span>
                    </button>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <form
        class="doors-form"
        onSubmit={(event) => {
          event.preventDefault();
          void make();
        }}
      >
        <h3>{text.keyTitle}</h3>
        <PlainField
          id="key-name"
          label={text.keyName}
          value={name.value}
          maxLength={60}
          onInput={(value) => {
            name.value = value;
          }}
        />
        <fieldset class="doors-choices">
          <legend>{text.keyHead.may}</legend>
          {scopes.map((one) => (
            <label class="kind" key={one}>
              <input
                type="checkbox"
                checked={chosen.value.includes(one)}
                onChange={(event) => {
                  chosen.value = event.currentTarget.checked
                    ? [...chosen.value, one]
                    : chosen.value.filter((held) => held !== one);
                }}
              />
              <span>{text.scope[one]}</span>
            </label>
          ))}
        </fieldset>
        <PlainField
          id="key-days"
          label={text.keyDays}
          value={days.value}
          maxLength={3}
          onInput={(value) => {
            days.value = value;
          }}
        />
        <button
          type="submit"
          class="button"
          disabled={sending.busy.value || name.value.trim() === '' || chosen.value.length === 0}
        >
          {text.makeKey}
        </button>
      </form>
    </section>
  );
}
