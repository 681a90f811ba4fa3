import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { createOutbox } from '../../../../alerts/delivery/outbox.ts';
import { alertMigrations } from '../../../../alerts/migrations.ts';

test('messages that wait in a database of the version before go out still', () => {
  const database = new Database(':memory:');
  for (const { sql } of alertMigrations.slice(0, 2)) database.exec(sql);
  database.exec(`
    INSERT INTO alarm_journal (t, alarm, title, event, from_state, to_state, who)
      VALUES (1, 'high/a', 'A', 'raised', 'normal', 'unacknowledged', 'x');
    INSERT INTO alarm_outbox (seq, alarm, thread, priority, recipient, channel, message, next_at, queued_at)
      VALUES (1, 'high/a', '1.1', 2, 'rowan', 'email',
        '{"to":"r@x.example","subject":"A","text":"B","messageId":"<1@x>"}', 5, 5)`);
  database.exec(alertMigrations[2]!.sql);
  const [row] = createOutbox(database).due('email', 10, 10);
  expect(row).toMatchObject({ key: '1', seq: 1, alarm: 'high/a', recipient: 'rowan', attempts: 0 });
  expect(row!.message).toMatchObject({ subject: 'A', messageId: '<1@x>' });
  database.close();
});
