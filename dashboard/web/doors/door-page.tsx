import '../styles/doors.css';
import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useMemo } from 'preact/hooks';
import { PlainField } from '../parts/plain-field.tsx';
import { goTo } from '../screen.ts';
import { common } from '../text/common.ts';
import { doors as text } from '../text/doors.ts';
import { askEntry, entry } from './entry.ts';
import { isDifferent, NewPassword, PasswordAgain } from './new-password.tsx';
import { createSending, type Sending } from './send.ts';

/** What stands instead of the screens while nobody has signed in here. */
export function DoorPage() {
  return entry.value?.setUp === false ? <SetUp /> : <SignIn />;
}

function SetUp() {
  const name = useSignal('');
  const password = useSignal('');
  const again = useSignal('');
  const code = useSignal('');
  const sending = useMemo(createSending, []);
  const different = isDifferent(password.value, again.value);
  const send = async () => {
    const body = { name: name.value, password: password.value };
    const needsCode = entry.value?.needsCode === true;
    const answer = await sending.send('/api/doors/set-up', needsCode ? { ...body, code: code.value } : body);
    if (answer.ok) await askEntry();
  };
  return (
    <Door
      title={text.setUpTitle}
      intro={text.setUpText}
      sending={sending}
      act={text.setUp}
      onSend={send}
      blocked={different}
    >
      <PlainField
        id="door-name"
        label={text.name}
        value={name.value}
        autocomplete="username"
        onInput={(value) => {
          name.value = value;
        }}
      />
      <NewPassword
        id="door-password"
        label={text.password}
        name={name.value}
        value={password.value}
        onInput={(value) => {
          password.value = value;
        }}
      />
      <PasswordAgain
        first={password.value}
        value={again.value}
        onInput={(value) => {
          again.value = value;
        }}
      />
      {entry.value?.needsCode ? (
        <PlainField
          id="door-code"
          label={text.code}
          hint={text.codeHint}
          value={code.value}
          onInput={(value) => {
            code.value = value;
          }}
        />
      ) : null}
    </Door>
  );
}

function SignIn() {
  const name = useSignal('');
  const password = useSignal('');
  const sending = useMemo(createSending, []);
  const send = async () => {
    const answer = await sending.send('/api/doors/sign-in', { name: name.value, password: password.value });
    if (answer.ok) await askEntry();
  };
  return (
    <Door title={text.signInTitle} sending={sending} act={text.signIn} onSend={send}>
      <PlainField
        id="door-name"
        label={text.name}
        value={name.value}
        autocomplete="username"
        onInput={(value) => {
          name.value = value;
        }}
      />
      <PlainField
        id="door-password"
        label={text.password}
        type="password"
        autocomplete="current-password"
        hint={text.forgot}
        value={password.value}
        onInput={(value) => {
          password.value = value;
        }}
      />
      <p>
        <a class="door-link" href="/pair">
          {text.thisIsAWall}
        </a>
      </p>
    </Door>
  );
}

/** Opened from an invitation; the secret stands after the `#`, which is sent to no server by itself. */
export function JoinPage() {
  const link = useMemo(() => location.hash.slice(1), []);
  const password = useSignal('');
  const again = useSignal('');
  const sending = useMemo(createSending, []);
  const different = isDifferent(password.value, again.value);
  if (link === '')
    return (
      <main class="door">
        <h1>{text.joinTitle}</h1>
        <p>{text.joinLost}</p>
      </main>
    );
  const send = async () => {
    const answer = await sending.send('/api/doors/join', { link, password: password.value });
    if (!answer.ok) return;
    await askEntry();
    goTo('/');
  };
  return (
    <Door
      title={text.joinTitle}
      intro={text.joinText}
      sending={sending}
      act={text.join}
      onSend={send}
      blocked={different}
    >
      <NewPassword
        id="door-password"
        label={text.password}
        value={password.value}
        onInput={(value) => {
          password.value = value;
        }}
      />
      <PasswordAgain
        first={password.value}
        value={again.value}
        onInput={(value) => {
          again.value = value;
        }}
      />
    </Door>
  );
}

interface DoorProps {
  title: string;
  intro?: string;
  act: string;
  sending: Sending;
  blocked?: boolean;
  onSend: () => void;
  children: ComponentChildren;
}

function Door({ title, intro, act, sending, blocked = false, onSend, children }: DoorProps) {
  const { problem, busy } = sending;
  return (
    <main class="door">
      <p class="door-product">{common.product}</p>
      <h1>{title}</h1>
      {intro === undefined ? null : <p>{intro}</p>}
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (!busy.value && !blocked) onSend();
        }}
      >
        {children}
        <div role="alert" class="door-problem">
          {problem.value === null ? null : <p>{problem.value.text}</p>}
        </div>
        <button type="submit" class="button button-chief" disabled={busy.value || blocked}>
          {busy.value ? text.working : act}
        </button>
      </form>
      <p class="quiet">{text.signedOut}</p>
    </main>
  );
}
