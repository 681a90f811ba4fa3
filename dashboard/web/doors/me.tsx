import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { z } from 'zod';
import type { accessChanges, sessionViews } from '../../../shared/api/doors.ts';
import { deviceOf } from '../format/device.ts';
import { momentOf, spanOf } from '../format/time.ts';
import { NotRead } from '../parts/not-read.tsx';
import { PlainField } from '../parts/plain-field.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { farm } from '../text/farm.ts';
import { askEntry, entry } from './entry.ts';
import { NewPassword } from './new-password.tsx';
import { createSending } from './send.ts';

/** Whoever has signed in: their password, and where else they are in. */
export function Me() {
  const me = entry.value?.me;
  const round = useSignal(0);
  const current = useSignal('');
  const next = useSignal('');
  const changed = useSignal(false);
  const sending = useMemo(createSending, []);
  const sessions = useAnswer<z.infer<typeof sessionViews>>('/api/doors/sessions', round.value);
  const told = useAnswer<z.infer<typeof accessChanges>>('/api/doors/changes', round.value);
  if (me?.kind !== 'person') return null;
  const zone = site.value.state.value?.farm.site.timeZone ?? 'UTC';

  const change = async () => {
    const answer = await sending.send('/api/doors/password', { current: current.value, next: next.value });
    changed.value = answer.ok;
    if (!answer.ok) return;
    current.value = '';
    next.value = '';
    round.value += 1;
  };
  const leave = async (path: string) => {
    await sending.send(path, {});
    await askEntry();
    round.value += 1;
  };
  return (
    <section class="card doors-card" aria-labelledby="me">
      <h2 id="me">{text.meTitle}</h2>
      <div>
        <p>
          <strong>{text.me(me.name, me.role)}</strong>: {text.roleHint[me.role]}
        </p>
        <h3>{text.sessions}</h3>
        <NotRead asked={sessions} />
        <ul>
          {(sessions.value ?? []).map(({ id, address, device, seenAt, here }) => (
            <li key={id}>
              {here ? <strong>{text.here}</strong> : farm.ago(spanOf(site.value.now.value - seenAt))},{' '}
              {address} <span class="quiet">{deviceOf(device)}</span>
            </li>
          ))}
        </ul>
        {told.failed === null && (told.value ?? []).length === 0 ? null : (
          <>
            <h3>{text.changes}</h3>
            <NotRead asked={told} />
            <ul>
              {(told.value ?? []).map(({ act, who, address, t }) => (
                <li key={t}>
                  {momentOf(t, zone)}: {text.accessAct[act]}{' '}
                  <span class="quiet">{text.by(who, address)}</span>
                </li>
              ))}
            </ul>
          </>
        )}
        <p class="doors-acts">
          <button type="button" class="button" onClick={() => void leave('/api/doors/sign-out')}>
            {text.signOut}
          </button>
          <button type="button" class="button" onClick={() => void leave('/api/doors/sign-out-elsewhere')}>
            {text.signOutElsewhere}
          </button>
        </p>
      </div>
      <form
        class="doors-form"
        onSubmit={(event) => {
          event.preventDefault();
          void change();
        }}
      >
        <h3>{text.changePassword}</h3>
        {/* For password managers, which ask whose it is. */}
        <input type="text" autocomplete="username" value={me.name} readOnly hidden />
        <PlainField
          id="me-current"
          label={text.current}
          type="password"
          autocomplete="current-password"
          value={current.value}
          onInput={(value) => {
            current.value = value;
          }}
        />
        <NewPassword
          id="me-next"
          label={text.newPassword}
          name={me.name}
          problem={sending.problem.value?.text}
          value={next.value}
          onInput={(value) => {
            next.value = value;
          }}
        />
        <button type="submit" class="button" disabled={sending.busy.value}>
          {text.changePassword}
        </button>
        <p role="status">{changed.value ? text.changed : ''}</p>
      </form>
    </section>
  );
}
