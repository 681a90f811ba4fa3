import { useSignal } from '@preact/signals';
import type { z } from 'zod';
import type { wallView } from '../../../shared/api/doors.ts';
import { spanOf } from '../format/time.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { farm } from '../text/farm.ts';
import { DoorsCard, RowAct } from './doors-card.tsx';
import { useDoorsList } from './doors-list.ts';

type Wall = z.infer<typeof wallView>;

/** Every paired wall screen, and pairing one more by the code it shows. */
export function Walls() {
  const code = useSignal('');
  const name = useSignal('');
  const rooms = useSignal<string[] | null>(null);
  const mayAcknowledge = useSignal(false);
  const walls = useDoorsList<Wall[]>('/api/doors/walls');
  const farmRooms = site.value.state.value?.farm.rooms ?? [];
  const nameOf = (id: string) => farmRooms.find((room) => room.id === id)?.name ?? id;

  const pair = async () => {
    const settings = { name: name.value, rooms: rooms.value, mayAcknowledge: mayAcknowledge.value };
    if (!(await walls.act('/api/doors/walls', { code: code.value, ...settings })).ok) return;
    code.value = '';
    name.value = '';
  };
  const choose = (id: string, on: boolean) => {
    const held = rooms.value ?? [];
    const next = on ? [...held, id] : held.filter((one) => one !== id);
    rooms.value = next.length === 0 ? null : next;
  };
  const maySet = ({ id, name: of, rooms: shows }: Wall, on: boolean) =>
    walls.act(`/api/doors/walls/${id}`, { name: of, rooms: shows, mayAcknowledge: on });

  return (
    <DoorsCard
      id="walls"
      title={text.walls}
      sending={walls.sending}
      asked={walls}
      secret={null}
      rows={walls.value}
      none={text.wallsNone}
      columns={[
        {
          head: text.wallHead.rooms,
          cell: ({ rooms: shows }) => (shows === null ? text.allRooms : shows.map(nameOf).join(', ')),
        },
        {
          head: text.wallHead.may,
          cell: (wall) => (
            <label class="check">
              <input
                type="checkbox"
                checked={wall.mayAcknowledge}
                onChange={(event) => void maySet(wall, event.currentTarget.checked)}
              />{' '}
              {text.mayAcknowledge}
              <span class="unseen">, {wall.name}</span>
            </label>
          ),
        },
        {
          head: text.wallHead.seen,
          isWhen: true,
          cell: ({ lastSeenAt, addresses }) => (
            <>
              {[
                lastSeenAt === null ? text.never : farm.ago(spanOf(site.value.now.value - lastSeenAt)),
                ...addresses,
              ].join(', ')}
              {addresses.length > 1 ? (
                <span class="doors-warn">{text.elsewhere(addresses.length)}</span>
              ) : null}
            </>
          ),
        },
      ]}
      acts={(wall) => (
        <RowAct
          words={text.revoke}
          name={wall.name}
          onAct={() => walls.act(`/api/doors/walls/${wall.id}/revoke`)}
        />
      )}
      form={{
        title: text.pairHead,
        act: text.pair,
        ready: code.value.trim() !== '' && name.value.trim() !== '',
        onSend: () => void pair(),
        fields: (
          <>
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
          </>
        ),
      }}
    />
  );
}
