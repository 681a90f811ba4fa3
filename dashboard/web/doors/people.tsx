import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { z } from 'zod';
import type { invited, personView } from '../../../shared/api/doors.ts';
import { roles } from '../../../shared/door-names.ts';
import type { Role } from '../../../shared/doors.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { doors as text } from '../text/doors.ts';
import { SecretOnce } from './secret-once.tsx';
import { createSending } from './send.ts';

type Person = z.infer<typeof personView>;
type Invited = z.infer<typeof invited>;

/** Everybody who may enter, and inviting one more. */
export function People() {
  const round = useSignal(0);
  const shown = useSignal<Invited | null>(null);
  const name = useSignal('');
  const role = useSignal<Role>('operator');
  const sending = useMemo(createSending, []);
  const people = useAnswer<Person[]>('/api/doors/people', round.value);

  const act = async (path: string, body: unknown = {}) => {
    const answer = await sending.send<Invited | Person>(path, body);
    if (answer.ok && 'link' in answer.value) shown.value = answer.value;
    if (answer.ok) round.value += 1;
    return answer.ok;
  };
  const invite = async () => {
    if (await act('/api/doors/people', { name: name.value, role: role.value })) name.value = '';
  };

  return (
    <section class="card doors-card" aria-labelledby="people">
      <h2 id="people">{text.people}</h2>
      {sending.problem.value === null ? null : (
        <p class="doors-refused" role="alert">
          {sending.problem.value.text}
        </p>
      )}
      {shown.value === null ? null : (
        <SecretOnce
          key={shown.value.link}
          words={text.link(shown.value.person.name)}
          secret={location.origin + shown.value.link}
        />
      )}
      <div class="table-wrap">
        <table class="stack">
          <thead>
            <tr>
              <th scope="col">{text.personHead.name}</th>
              <th scope="col">{text.personHead.role}</th>
              <th scope="col">{text.personHead.state}</th>
              <th scope="col">{text.personHead.acts}</th>
            </tr>
          </thead>
          <tbody>
            {(people.value ?? []).map((person) => (
              <PersonRow key={person.id} person={person} act={act} />
            ))}
          </tbody>
        </table>
      </div>
      <form
        class="doors-form"
        onSubmit={(event) => {
          event.preventDefault();
          void invite();
        }}
      >
        <h3>{text.inviteTitle}</h3>
        <PlainField
          id="invite-name"
          label={text.name}
          value={name.value}
          maxLength={60}
          onInput={(value) => {
            name.value = value;
          }}
        />
        <div class="field">
          <label for="invite-role">{text.personHead.role}</label>
          <select
            id="invite-role"
            value={role.value}
            onChange={(event) => {
              role.value = event.currentTarget.value as Role;
            }}
          >
            {roles.map((one) => (
              <option key={one} value={one}>
                {text.role[one]}: {text.roleHint[one]}
              </option>
            ))}
          </select>
        </div>
        <button type="submit" class="button" disabled={sending.busy.value || name.value.trim() === ''}>
          {text.invite}
        </button>
      </form>
    </section>
  );
}

interface RowProps {
  person: Person;
  act: (path: string, body?: unknown) => Promise<boolean>;
}

function PersonRow({ person: { id, name, role, disabledAt, hasPassword }, act }: RowProps) {
  const path = `/api/doors/people/${id}`;
  return (
    <tr>
      <td>
        <strong>{name}</strong>
      </td>
      <td>
        <select
          class="doors-role"
          aria-label={`${text.personHead.role}, ${name}`}
          value={role}
          onChange={(event) => void act(path, { role: event.currentTarget.value })}
        >
          {roles.map((one) => (
            <option key={one} value={one}>
              {text.role[one]}
            </option>
          ))}
        </select>
      </td>
      <td>{disabledAt !== null ? text.disabled : hasPassword ? text.active : text.invited}</td>
      <td>
        <span class="doors-acts">
          <button
            type="button"
            class="button"
            onClick={() => void act(path, { disabled: disabledAt === null })}
          >
            {disabledAt === null ? text.disable : text.enable}
            <span class="unseen"> {name}</span>
          </button>
          {disabledAt !== null ? null : (
            <>
              <button type="button" class="button" onClick={() => void act(`${path}/invite`)}>
                {text.newLink}
                <span class="unseen"> {name}</span>
              </button>
              <button type="button" class="button" onClick={() => void act(`${path}/sign-out`)}>
                {text.signOutPerson}
                <span class="unseen"> {name}</span>
              </button>
            </>
          )}
        </span>
      </td>
    </tr>
  );
}
