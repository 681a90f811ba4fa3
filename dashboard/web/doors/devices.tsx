import { useSignal } from '@preact/signals';
import type { z } from 'zod';
import type { devices, madeDevice } from '../../../shared/api/doors.ts';
import { spanOf } from '../format/time.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { farm } from '../text/farm.ts';
import { DoorsCard, RowAct } from './doors-card.tsx';
import { useDoorsList } from './doors-list.ts';

type Devices = z.infer<typeof devices>;
type Made = z.infer<typeof madeDevice>;

/** A broker that listens on every address is reached under the name under which this page was. */
const reachable = (host: string): string => (/^(0\.0\.0\.0|::)$/.test(host) ? location.hostname : host);

/** Devices of the built-in broker: a user each, a password shown once, topics of their own. */
export function Devices() {
  const made = useSignal<Made | null>(null);
  const name = useSignal('');
  const topic = useSignal('');
  const hears = useSignal(false);
  const asked = useDoorsList<Devices>('/api/doors/devices');
  const now = site.value.now.value;
  const broker = asked.value?.broker ?? null;

  const make = async () => {
    const body = { name: name.value, topic: topic.value, hears: hears.value };
    const answer = await asked.act<Made>('/api/doors/devices', body);
    if (!answer.ok) return;
    made.value = answer.value;
    name.value = '';
    topic.value = '';
  };
  const secretOf = ({ device, password }: Made, at: NonNullable<Devices['broker']>) => ({
    words: text.device(device.name),
    secret: text.tryLine({ ...at, host: reachable(at.host) }, device, password),
  });

  return (
    <DoorsCard
      id="devices"
      title={text.devices}
      note={asked.value !== null && broker === null ? text.ownBroker : null}
      sending={asked.sending}
      asked={asked}
      secret={made.value && broker && secretOf(made.value, broker)}
      rows={asked.value?.list ?? null}
      none={broker === null ? undefined : text.devicesNone}
      columns={[
        {
          head: text.deviceHead.topic,
          cell: (device) => (
            <>
              {device.topic}
              {device.hears ? <span class="quiet"> {text.hearsAlarms}</span> : null}
            </>
          ),
        },
        {
          head: text.deviceHead.seen,
          isWhen: true,
          cell: ({ seenAt }) => (seenAt === null ? text.never : farm.ago(spanOf(now - seenAt))),
        },
      ]}
      acts={(device) => (
        <RowAct
          words={text.revoke}
          name={device.name}
          onAct={() => asked.act(`/api/doors/devices/${device.id}/revoke`)}
        />
      )}
      form={
        broker && {
          title: text.deviceTitle,
          act: text.makeDevice,
          ready: name.value.trim() !== '' && topic.value.trim() !== '',
          onSend: () => void make(),
          fields: (
            <>
              <PlainField
                id="device-name"
                label={text.deviceName}
                hint={text.deviceNameHint}
                value={name.value}
                maxLength={40}
                onInput={(value) => {
                  name.value = value;
                }}
              />
              <PlainField
                id="device-topic"
                label={text.deviceTopic}
                hint={text.deviceTopicHint}
                value={topic.value}
                maxLength={100}
                onInput={(value) => {
                  topic.value = value;
                }}
              />
              <label class="check">
                <input
                  type="checkbox"
                  checked={hears.value}
                  onChange={(event) => {
                    hears.value = event.currentTarget.checked;
                  }}
                />{' '}
                {text.deviceHears(asked.value?.alarmTopics ?? '')}
              </label>
            </>
          ),
        }
      }
    />
  );
}
