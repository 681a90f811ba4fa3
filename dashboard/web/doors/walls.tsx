import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { z } from 'zod';
import type { wallView } from '../../../shared/api/doors.ts';
import { spanOf } from '../format/time.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { farm } from '../text/farm.ts';
import { createSending } from './send.ts';

type Wall = z.infer<typeof wallView>;

/** Every paired wall screen, and pairing one more by the code it shows. */
export function Walls() {
  const round = useSignal(0);
  const code = useSignal('');
  const name = useSignal('');
  const rooms = useSignal<string[] | null>(null);
  const mayAcknowledge = useSignal(false);
  const sending = useMemo(createSending, []);
  const walls = useAnswer<Wall[]>('/api/doors/walls', round.value);
  const farmRooms = site.value.state.value?.farm.rooms ?? [];
  const nameOf = (id: string) => farmRooms.find((room) => room.id === id)?.name ?? id;

  const act = async (path: string, body: unknown = {}) => {
    const answer = await sending.send(path, body);
    if (answer.ok) round.value += 1;
    return answer.ok;
  };
  const pair = async () => {
    const settings = { name: name.value, rooms: rooms.value, mayAcknowledge: mayAcknowledge.value };
    if (!(await act('/api/doors/walls', { code: code.value, ...settings }))) return;
    code.value = '';
    name.value = '';
  };
  const choose = (id: string, on: boolean) => {
    const held = rooms.value ?? [];
    const next = on ? [...held, id] : held.filter((one) => one !== id);
    rooms.value = next.length === 0 ? null : next;
  };

  return (
    <section class="card doors-card" aria-labelledby="walls">
      <h2 id="walls">{text.walls}</h2>
      {sending.problem.value === null ? null : (
        <p class="doors-refused" role="alert">
          {sending.problem.value.text}
        </p>
      )}
      {walls.value?.length === 0 ? <p class="quiet">{text.wallsNone}</p> : null}
      {(walls.value?.length ?? 0) === 0 ? null : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{text.wallHead.name}</th>
                <th scope="col">{text.wallHead.rooms}</th>
                <th scope="col">{text.wallHead.may}</th>
                <th scope="col">{text.wallHead.seen}</th>
                <th scope="col">{text.wallHead.acts}</th>
              </tr>
            </thead>
            <tbody>
              {walls.value!.map(({ id, lastSeenAt, addresses, pairedAt: _, pairedBy: __, ...settings }) => (
                <tr key={id}>
                  <td>
                    <strong>{settings.name}</strong>
                  </td>
                  <td>{settings.rooms === null ? text.allRooms : settings.rooms.map(nameOf).join(', ')}</td>
                  <td>
                    <label class="check">
                      <input
                        type="checkbox"
                        checked={settings.mayAcknowledge}
                        onChange={(event) =>
                          void act(`/api/doors/walls/${id}`, {
                            ...settings,
                            mayAcknowledge: event.currentTarget.checked,
                          })
                        }
                      />{' '}
                      {text.mayAcknowledge}
                      <span class="unseen">, {settings.name}</span>
                    </label>
                  </td>
                  <td class="when">
                    {[
                      lastSeenAt === null ? text.never : farm.ago(spanOf(site.value.now.value - lastSeenAt)),
                      ...addresses,
                    ].join(', ')}
                    {addresses.length > 1 ? (
                      <span class="doors-warn">{text.elsewhere(addresses.length)}</span>
                    ) : null}
                  </td>
                  <td>
                    <button
                      type="button"
                      class="button"
                      onClick={() => void act(`/api/doors/walls/${id}/revoke`)}
                    >
                      {text.revoke}
                      <span class="unseen"> {settings.name}</span>
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
          void pair();
        }}
      >
        <h3>{text.pairHead}</h3>
        <PlainField
          id="wall-code"
          label={text.wallCode}
          value={code.value}
          maxLength={12}
          onInput={(value) => {
            code.value = value;
          }}
        />
        <PlainField
          id="wall-name"
          label={text.wallName}
          value={name.value}
          maxLength={60}
          onInput={(value) => {
            name.value = value;
          }}
        />
        <fieldset class="doors-choices">
          <legend>
            {text.wallRooms} {rooms.value === null ? `(${text.allRooms})` : ''}
          </legend>
          {farmRooms.map((room) => (
            <label class="kind" key={room.id}>
              <input
                type="checkbox"
                checked={rooms.value?.includes(room.id) ?? false}
                onChange={(event) => choose(room.id, event.currentTarget.checked)}
              />
              <span>{room.name}</span>
            </label>
          ))}
        </fieldset>
        <label class="check">
          <input
            type="checkbox"
            checked={mayAcknowledge.value}
            onChange={(event) => {
              mayAcknowledge.value = event.currentTarget.checked;
            }}
          />{' '}
          {text.mayAcknowledge}
        </label>
        <button
          type="submit"
          class="button"
          disabled={sending.busy.value || code.value.trim() === '' || name.value.trim() === ''}
        >
          {text.pair}
        </button>
      </form>
    </section>
  );
}
