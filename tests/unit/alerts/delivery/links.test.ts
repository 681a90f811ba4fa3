import { expect, test } from 'vitest';
import { createAckLinks } from '../../../../alerts/delivery/ack-links.ts';
import { createAcknowledgeLinks } from '../../../../alerts/delivery/acknowledge-link.ts';
import { deliverySite, routedFarm } from '../../../tools/delivery-site.ts';

const warm = 'warm-air.temperature';
const high = 'high/warm-room.temperature';
const address = 'http://farm-box.lan:8420';
const base = { id: 'fernhollow', name: 'Fernhollow', timeZone: 'Europe/London' };

/** The warm room rings and Rowan has a message with a link. */
async function withLink() {
  const farm = routedFarm({ site: { ...base, address } });
  const site = deliverySite(farm, { links: true });
  // The book writes messages itself, so it signs with the same key.
  site.hold({ [warm]: 29.5 }, 120);
  await site.pass(0.1);
  const token = new RegExp(`${address}/acknowledge/(\\S+)`).exec(site.mails[0]!.text)![1]!;
  const links = createAckLinks(site.database, site.clock, Buffer.alloc(32, 7));
  const behind = createAcknowledgeLinks({
    links,
    farm: () => farm,
    raise: (alarm) => site.book.raise(alarm),
    acknowledge: (alarm, who) => void site.book.act(alarm, { act: 'acknowledge' }, who),
  });
  return { site, token, behind };
}

test('a link acknowledges once, under the name of the person it was sent to', async () => {
  const { site, token, behind } = await withLink();
  expect(behind.look(token)).toMatchObject({ usable: true, alarm: high, who: 'Rowan' });
  expect(site.state(high)).toBe('unacknowledged');
  expect(behind.use(token)).toMatchObject({ usable: false, why: 'Acknowledged.' });
  expect(site.state(high)).toBe('acknowledged');
  expect(site.book.journal({ alarm: high, limit: 1 })[0]!.who).toContain('Rowan');
  expect(() => behind.use(token)).toThrow(/used already, by Rowan/);
  expect(behind.look(token).usable).toBe(false);
});

test('a link that was changed, cut short or signed elsewhere is refused', async () => {
  const { site, token, behind } = await withLink();
  const [text, sign] = token.split('.') as [string, string];
  const other = Buffer.from(Buffer.from(text, 'base64url').toString().replace('rowan', 'ash')).toString(
    'base64url',
  );
  const elsewhere = createAckLinks(site.database, site.clock, Buffer.alloc(32, 8));
  const foreign = elsewhere
    .make(address, { alarm: high, thread: 'x', seq: 1, person: 'rowan' })!
    .split('/')
    .at(-1)!;
  for (const bad of [`${other}.${sign}`, text, `${text}.${sign.slice(0, -2)}`, `${token}.x`, '', foreign]) {
    expect(behind.look(bad)).toMatchObject({
      usable: false,
      why: expect.stringContaining('not one of ours'),
    });
    expect(() => behind.use(bad)).toThrow(/not one of ours/);
  }
  expect(site.state(high)).toBe('unacknowledged');
});

test('a link expires after a day', async () => {
  const { site, token, behind } = await withLink();
  site.clock.advanceBy(24 * 3_600_000);
  expect(behind.look(token).why).toContain('expired');
  expect(() => behind.use(token)).toThrow(/expired/);
});

test('a link of an alarm that is over, or acknowledged by another, says so', async () => {
  const { site, token, behind } = await withLink();
  site.book.act(high, { act: 'acknowledge' }, 'Ash');
  expect(behind.look(token).why).toBe('It is acknowledged already.');
  expect(() => behind.use(token)).toThrow(/acknowledged already/);
  site.hold({}, 300);
  expect(behind.look(token).why).toContain('That alarm is over');
});
