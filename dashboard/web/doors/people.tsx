import { useSignal } from '@preact/signals';
import type { z } from 'zod';
import type { invited, personView } from '../../../shared/api/doors.ts';
import { roles } from '../../../shared/door-names.ts';
import type { Role } from '../../../shared/doors.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { doors as text } from '../text/doors.ts';
import { DoorsCard, RowAct } from './doors-card.tsx';
import { useDoorsList } from './doors-list.ts';

type Person = z.infer<typeof personView>;
type Invited = z.infer<typeof invited>;

const pathOf = ({ id }: Person): string => `/api/doors/people/${id}`;

/** Everybody who may enter, and inviting one more. */
export function People() {
  const shown = useSignal<Invited | null>(null);
  const name = useSignal('');
  const role = useSignal<Role>('operator');
  const people = useDoorsList<Person[]>('/api/doors/people');

  const giveLink = async (path: string, body: unknown = {}) => {
    const answer = await people.act<Invited>(path, body);
    if (answer.ok) shown.value = answer.value;
    return answer.ok;
  };
  const invite = async () => {
    if (await giveLink('/api/doors/people', { name: name.value, role: role.value })) name.value = '';
  };

  return (
    <DoorsCard
      id="people"
      title={text.people}
      sending={people.sending}
      asked={people}
      secret={
        shown.value && {
          words: text.link(shown.value.person.name),
          secret: location.origin + shown.value.link,
        }
      }
      rows={people.value}
      none={text.peopleNone}
      columns={[
        {
          head: text.personHead.role,
          cell: (person) => (
            <select
              class="doors-role"
              aria-label={`${text.personHead.role}, ${person.name}`}
              value={person.role}
              onChange={(event) => void people.act(pathOf(person), { role: event.currentTarget.value })}
            >
              {roles.map((one) => (
                <option key={one} value={one}>
                  {text.role[one]}
                </option>
              ))}
            </select>
          ),
        },
        {
          head: text.personHead.state,
          cell: ({ disabledAt, hasPassword }) =>
            disabledAt !== null ? text.disabled : hasPassword ? text.active : text.invited,
        },
      ]}
      acts={(person) => (
        <>
          <RowAct
            words={person.disabledAt === null ? text.disable : text.enable}
            name={person.name}
            onAct={() => people.act(pathOf(person), { disabled: person.disabledAt === null })}
          />
          {person.disabledAt !== null ? null : (
            <>
              <RowAct
                words={text.newLink}
                name={person.name}
                onAct={() => giveLink(`${pathOf(person)}/invite`)}
              />
              <RowAct
                words={text.signOutPerson}
                name={person.name}
                onAct={() => people.act(`${pathOf(person)}/sign-out`)}
              />
            </>
          )}
        </>
      )}
      form={{
        title: text.inviteTitle,
        act: text.invite,
        ready: name.value.trim() !== '',
        onSend: () => void invite(),
        fields: (
          <>
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
          </>
        ),
      }}
    />
  );
}
