import { useSignal } from '@preact/signals';
import type { z } from 'zod';
import type { madeScript, scriptView } from '../../../shared/api/doors.ts';
import { scopes } from '../../../shared/door-names.ts';
import type { Scope } from '../../../shared/doors.ts';
import { spanOf } from '../format/time.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { farm } from '../text/farm.ts';
import { DoorsCard, RowAct } from './doors-card.tsx';
import { useDoorsList } from './doors-list.ts';

type Script = z.infer<typeof scriptView>;
type Made = z.infer<typeof madeScript>;

/** Keys of programs: made, shown once, ended. */
export function Keys() {
  const made = useSignal<Made | null>(null);
  const name = useSignal('');
  const chosen = useSignal<Scope[]>(['read']);
  const days = useSignal('90');
  const keys = useDoorsList<Script[]>('/api/doors/scripts');
  const now = site.value.now.value;

  const make = async () => {
    const body = { name: name.value, scopes: chosen.value, days: Number(days.value) };
    const answer = await keys.act<Made>('/api/doors/scripts', body);
    if (!answer.ok) return;
    made.value = answer.value;
    name.value = '';
  };

  return (
    <DoorsCard
      id="keys"
      title={text.keys}
      sending={keys.sending}
      asked={keys}
      secret={made.value && { words: text.key(made.value.script.name), secret: made.value.key }}
      rows={keys.value}
      none={text.keysNone}
      columns={[
        { head: text.keyHead.may, cell: (key) => key.scopes.map((one) => text.scope[one]).join(', ') },
        {
          head: text.keyHead.used,
          isWhen: true,
          cell: ({ usedAt }) => (usedAt === null ? text.never : farm.ago(spanOf(now - usedAt))),
        },
        { head: text.keyHead.ends, isWhen: true, cell: ({ expiresAt }) => spanOf(expiresAt - now) },
      ]}
      acts={(key) => (
        <RowAct
          words={text.revoke}
          name={key.name}
          onAct={() => keys.act(`/api/doors/scripts/${key.id}/revoke`)}
        />
      )}
      form={{
        title: text.keyTitle,
        act: text.makeKey,
        ready: name.value.trim() !== '' && chosen.value.length > 0,
        onSend: () => void make(),
        fields: (
          <>
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
          </>
        ),
      }}
    />
  );
}
