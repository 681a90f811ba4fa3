import mqtt from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { systemClock as clock } from '../../../collector/system-clock.ts';
import { asked } from '../../tools/asked.ts';
import { startMosquitto } from '../../tools/mosquitto.ts';
import { startFarm, temporaryFolder } from './farm.ts';

test('a broker that is away at the start, and again later, is told and waited for', async () => {
  await using broker = await startMosquitto(['allow_anonymous true']);
  await broker.stop();
  const { collector, live, health } = await startFarm(temporaryFolder(), `broker: { url: "${broker.url}" }`);
  const publish = async (t: number) => {
    const sensor = await mqtt.connectAsync(broker.url, { protocolVersion: 4 });
    onTestFinished(() => sensor.endAsync(true));
    await sensor.publishAsync('lab/air', JSON.stringify({ at: clock.now(), t }), { qos: 1 });
  };

  for (const t of [21.5, 22.5]) {
    const away = await asked(
      live,
      ({ notices, alarms }) => notices.length > 0 && alarms.some(({ conditionHolds }) => conditionHolds),
    );
    expect(away.notices[0]?.text).toMatch(
      /^No contact with the broker: mqtt:.* is away: (nothing listens there|the connection was lost)/,
    );
    expect(away.alarms.map(({ id, state }) => `${id} ${state}`)).toContain('system/broker unacknowledged');
    expect(await health()).toMatchObject({ status: 'failed' });

    await broker.start();
    await asked(
      live,
      ({ notices, alarms }) =>
        notices.length === 0 &&
        alarms.every(({ id, conditionHolds }) => id !== 'system/broker' || !conditionHolds),
    );
    await publish(t);
    await asked(live, ({ channels }) => channels['air.temperature']?.value === t);
    await broker.stop();
  }
  expect(await collector.end()).toMatchObject({ code: 0 });
});
