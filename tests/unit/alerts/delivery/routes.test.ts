import { describe, expect, test } from 'vitest';
import { deliverySite, routedFarm } from '../../../tools/delivery-site.ts';

const warm = 'warm-air.temperature';
const high = 'high/warm-room.temperature';
const damp = 'high/warm-room.humidity';

/** Raises the warm room's alarm (priority 2, 60 min to respond) and lets what is due go out. */
async function ringing(farm = routedFarm()) {
  const site = deliverySite(farm);
  site.hold({ [warm]: 29.5 }, 120);
  await site.pass(0.1);
  return site;
}

describe('while nobody acknowledges', () => {
  test('the next person is told after the wait of the step, the first again on the next channel', async () => {
    const site = await ringing();
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['rowan']);
    await site.pass(9);
    expect(site.told).toHaveLength(1);
    await site.pass(2);
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['rowan', 'ash', 'relay']);
    expect(site.mails[1]!.text).toMatch(/It rang \d+ min ago, and nobody has acknowledged it\./);
    expect(site.hooks[0]!.body).toMatchObject({
      type: 'alarm.raised',
      data: { alarm: high, person: 'rowan' },
    });
  });

  test('the route ends: nothing is sent for ever', async () => {
    const site = await ringing();
    await site.pass(300);
    expect(site.told).toHaveLength(3);
    expect(site.delivery.escalation(high)).toMatchObject({ step: 2, steps: 2, dueAt: null });
  });

  test('screens see who is told next, and when', async () => {
    const site = await ringing();
    const { deliveries } = site.book.detail(high);
    expect(deliveries).toMatchObject([{ recipient: 'rowan', channel: 'email', state: 'sent', attempts: 1 }]);
    expect(site.delivery.escalation(high)).toMatchObject({ step: 1, steps: 2, next: ['ash'] });
    expect(site.book.view(high).delivery).toEqual({ waiting: 0, sent: 1, failed: 0 });
  });
});

test('an acknowledgement ends it', async () => {
  const site = await ringing();
  site.book.act(high, { act: 'acknowledge' }, 'Rowan');
  await site.pass(60);
  expect(site.told).toHaveLength(1);
  expect(site.delivery.escalation(high)).toBeNull();
});

test('an alarm that is over wakes nobody else, and those who know of it are told', async () => {
  const site = await ringing();
  site.hold({}, 300);
  await site.pass(60);
  expect(site.told.map((line) => line.split(' ')[1])).toEqual(['rowan', 'rowan']);
  expect(site.mails[1]!.subject).toContain('Over: ');
  expect(site.mails[1]!.inReplyTo).toBe(site.mails[0]!.messageId);
});

describe('a way that does not work', () => {
  test('and says so for good hands over to the next channel at once', async () => {
    const site = deliverySite();
    site.answers.rowan = { permanent: true };
    site.hold({ [warm]: 29.5 }, 120);
    await site.pass(0.1);
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['relay']);
    expect(site.rows()).toMatchObject([
      { channel: 'email', state: 'failed', attempts: 1 },
      { channel: 'relay', state: 'sent' },
    ]);
    // Rowan was reached, so nothing is undelivered.
    expect(site.book.view(high).delivery).toEqual({ waiting: 0, sent: 1, failed: 0 });
  });

  test('and may work later hands over after 5, 30 and 120 s, and is given up when the other got through', async () => {
    const site = deliverySite();
    site.answers.rowan = {};
    site.hold({ [warm]: 29.5 }, 120);
    await site.pass(2.5);
    expect(site.told).toEqual([]);
    await site.pass(0.5);
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['relay']);
    expect(site.rows()).toMatchObject([
      { channel: 'email', state: 'replaced', attempts: 4 },
      { channel: 'relay', state: 'sent' },
    ]);
  });

  test('on every channel of a person hands over to the next person at once', async () => {
    const site = deliverySite();
    site.answers.rowan = { permanent: true };
    site.answers.relay = { permanent: true };
    site.hold({ [warm]: 29.5 }, 120);
    await site.pass(0.2);
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['ash']);
    expect(site.book.view(high).delivery).toEqual({ waiting: 0, sent: 1, failed: 1 });
  });

  test('a webhook that is gone is asked no more, with a notice, until its address changes', async () => {
    const farm = routedFarm({ routes: [{ id: 'default', steps: [{ tell: ['moss'] }, { tell: ['ash'] }] }] });
    const site = deliverySite(farm);
    site.answers.relay = { permanent: true, gone: true };
    site.hold({ [warm]: 29.5 }, 120);
    await site.pass(0.2);
    expect(site.notices.at(-1)).toContain('relay is gone (410)');
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['ash']);
    expect(site.delivery.people()[2]!.channels).toEqual([{ channel: 'relay', usable: false }]);
    const moved = { id: 'relay', url: 'https://relay.example/new', secretEnv: 'RELAY' };
    site.delivery.setFarm(routedFarm({ webhooks: [moved] }));
    expect(site.notices.at(-1)).toBeNull();
    expect(site.delivery.people()[2]!.channels).toEqual([{ channel: 'relay', usable: true }]);
  });

  test('what is queued behind a message that does not get through takes the other way too', async () => {
    const site = deliverySite();
    site.answers.rowan = {};
    site.answers.relay = {};
    site.hold({ [warm]: 29.5 }, 120);
    await site.pass(4);
    site.hold({}, 300);
    delete site.answers.relay;
    await site.pass(6);
    const ofHigh = site.hooks.filter(({ body }) => (body.data as { alarm: string }).alarm === high);
    expect(ofHigh.map(({ body }) => body.type)).toEqual(['alarm.raised', 'alarm.returned']);
  });
});

describe('on call', () => {
  const hours = (rowan: string[], ash: string[]) => {
    const span = ([from, to]: string[]) => [{ from: from!, to: to! }];
    return routedFarm({
      people: [
        { id: 'rowan', name: 'Rowan', email: 'rowan@fernhollow.example', onCall: span(rowan) },
        { id: 'ash', name: 'Ash', email: 'ash@fernhollow.example', onCall: span(ash) },
      ],
      webhooks: [],
    });
  };

  test('a person who is not is passed over', async () => {
    // 06:00 UTC is 07:00 on this site's clock.
    const site = await ringing(hours(['08:00', '18:00'], ['06:00', '08:00']));
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['ash']);
  });

  test('where nobody is, the first are told all the same, and why', async () => {
    const site = await ringing(hours(['08:00', '18:00'], ['09:00', '18:00']));
    expect(site.told.map((line) => line.split(' ')[1])).toEqual(['rowan']);
    expect(site.mails[0]!.text).toContain('Nobody on the route is on call');
  });
});

describe('quiet hours', () => {
  // 06:00 UTC is 07:00 on this site's clock.
  const quiet = (to: string) =>
    routedFarm({
      people: [
        { id: 'rowan', name: 'Rowan', email: 'rowan@fernhollow.example', quiet: [{ from: '21:00', to }] },
      ],
      notify: ['rowan'],
      routes: [],
      webhooks: [],
    });
  async function dampAndDry(site: ReturnType<typeof deliverySite>) {
    site.hold({ 'warm-air.humidity': 95 }, 300);
    site.hold({ 'warm-air.humidity': 60 }, 300);
    await site.pass(0.1);
  }

  test('hold what is of low priority and tell it in one message', async () => {
    const site = deliverySite(quiet('07:30'));
    await dampAndDry(site);
    expect(site.book.view(damp).priority).toBe(3);
    expect(site.told).toEqual([]);
    expect(site.book.view(damp).delivery).toMatchObject({ waiting: 2 });
    await site.pass(25);
    expect(site.mails).toHaveLength(1);
    expect(site.mails[0]!.subject).toMatch(/^2 messages: /);
    expect(site.mails[0]!.text).toContain('Over: ');
    expect(site.rows().map(({ state }) => state)).toEqual(['gathered', 'gathered', 'sent']);
    expect(site.book.detail(damp).deliveries.map(({ state }) => state)).toEqual(['sent', 'sent']);
  });

  test('do not hold what is urgent', async () => {
    const site = deliverySite(quiet('07:30'));
    site.hold({ [warm]: 29.5 }, 120);
    await site.pass(0.1);
    expect(site.mails).toHaveLength(1);
  });

  test('are worked out anew when the farm file changes', async () => {
    const site = deliverySite(quiet('11:00'));
    await dampAndDry(site);
    site.delivery.setFarm(quiet('07:20'));
    await site.pass(12);
    expect(site.mails).toHaveLength(1);
  });
});

test('a message that was queued before a reload goes to the address after it', async () => {
  const site = deliverySite();
  site.answers.rowan = {};
  site.hold({ [warm]: 29.5 }, 120);
  await site.pass(0.05);
  site.delivery.setFarm(
    routedFarm({
      people: [{ id: 'rowan', name: 'Rowan', email: 'new@fernhollow.example' }],
      routes: [],
      notify: ['rowan'],
    }),
  );
  await site.pass(0.2);
  expect(site.told.map((line) => line.split(' ')[1])).toEqual(['new']);
});

test('an alarm with a route of its own takes it', async () => {
  const farm = routedFarm({
    rooms: [
      {
        id: 'warm-room',
        name: 'Warm room',
        limits: { temperature: { high: 28, route: 'heat' } },
      },
    ],
    sensors: [
      {
        ...{ id: 'warm-air', topic: 'warm/air', decoder: 'plain', at: 'warm-room', everyS: 30 },
        channels: [{ quantity: 'temperature', unit: 'degC' }],
      },
    ],
    routes: [
      { id: 'default', steps: [{ tell: ['rowan'] }] },
      { id: 'heat', steps: [{ tell: ['ash'] }] },
    ],
  });
  const site = await ringing(farm);
  expect(site.told.map((line) => line.split(' ')[1])).toEqual(['ash']);
});
