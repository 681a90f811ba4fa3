import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { z } from 'zod';
import type { devices, madeDevice } from '../../../shared/api/doors.ts';
import { spanOf } from '../format/time.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { doors as text } from '../text/doors.ts';
import { farm } from '../text/farm.ts';
import { SecretOnce } from './secret-once.tsx';
import { createSending } from './send.ts';

type Devices = z.infer<typeof devices>;
type Made = z.infer<typeof madeDevice>;

/** A broker that listens on every address is reached under the name under which this page was. */
const reachable = (host: string): string => (/^(0\.0\.0\.0|::)$/.test(host) ? location.hostname : host);

/** Devices of the built-in broker: a user each, a password shown once, topics of their own. */
export function Devices() {
  const round = useSignal(0);
  const made = useSignal<Made | null>(null);
  const name = useSignal('');
  const topic = useSignal('');
  const hears = useSignal(false);
  const sending = useMemo(createSending, []);
  const asked = useAnswer<Devices>('/api/doors/devices', round.value);
  const now = site.value.now.value;
  const broker = asked.value?.broker ?? null;
  const list = asked.value?.list ?? [];

  const make = async () => {
    const body = { name: name.value, topic: topic.value, hears: hears.value };
    const answer = await sending.send<Made>('/api/doors/devices', body);
    if (!answer.ok) return;
    made.value = answer.value;
    name.value = '';
    topic.value = '';
    round.value += 1;
  };
  const revoke = async (id: string) => {
    const answer = await sending.send(`/api/doors/devices/${id}/revoke`, {});
    if (answer.ok) round.value += 1;
  };

  return (
    <section class="card doors-card" aria-labelledby="devices">
      <h2 id="devices">{text.devices}</h2>
      {asked.value !== null && broker === null ? <p class="quiet">{text.ownBroker}</p> : null}
      {sending.problem.value === null ? null : (
        <p class="doors-refused" role="alert">
          {sending.problem.value.text}
        </p>
      )}
      {made.value === null || broker === null ? null : (
        <SecretOnce
          key={made.value.password}
          words={text.device(made.value.device.name)}
          secret={text.tryLine(
            { ...broker, host: reachable(broker.host) },
            made.value.device,
            made.value.password,
          )}
        />
      )}
      {list.length === 0 ? (
        <p class="quiet">{text.devicesNone}</p>
      ) : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{text.deviceHead.name}</th>
                <th scope="col">{text.deviceHead.topic}</th>
                <th scope="col">{text.deviceHead.seen}</th>
                <th scope="col">{text.deviceHead.acts}</th>
              </tr>
            </thead>
            <tbody>
              {list.map((device) => (
                <tr key={device.id}>
                  <td>
                    <strong>{device.name}</strong>
                  </td>
                  <td>
                    {device.topic}
                    {device.hears ? <span class="quiet"> {text.hearsAlarms}</span> : null}
                  </td>
                  <td class="when">
                    {device.seenAt === null ? text.never : farm.ago(spanOf(now - device.seenAt))}
                  </td>
                  <td>
                    <button type="button" class="button" onClick={() => void revoke(device.id)}>
                      {text.revoke}
                      <span class="unseen"> {device.name}</span>
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
        <h3>{text.deviceTitle}</h3>
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
        <button
          type="submit"
          class="button"
          disabled={sending.busy.value || name.value.trim() === '' || topic.value.trim() === ''}
        >
          {text.makeDevice}
        </button>
      </form>
    </section>
  );
}
