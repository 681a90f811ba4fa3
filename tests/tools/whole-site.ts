import { onTestFinished } from 'vitest';
import { createNoMailer } from '../../alerts/delivery/mailer.ts';
import { createInProcessTransport } from '../../collector/intake/in-process-transport.ts';
import { migrations } from '../../collector/main.ts';
import { openSite, type SiteParts } from '../../collector/site.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { createManualClock, type ManualClock } from '../../shared/manual-clock.ts';
import { startAt } from './alarm-site.ts';

/** A whole site on a clock turned by hand, with its database in memory and sensors that are told what to say. */
export async function wholeSite(
  farm: Farm,
  { clock: its, ...more }: Partial<SiteParts> & { clock?: ManualClock } = {},
) {
  const clock = its ?? createManualClock(startAt);
  const database = more.database ?? openDatabase({ file: ':memory:', migrations, clock });
  const transport = createInProcessTransport({ clock });
  const site = openSite({
    ...{ kind: 'farm', farm, clock, pace: clock, transport, database, mailer: createNoMailer() },
    ...{ forecasts: null, log: () => {}, ...more },
  });
  await site.start();
  onTestFinished(async () => {
    await site.close();
    if (more.database === undefined) database.close();
  });
  return {
    ...{ site, clock, database, transport },
    /** What a sensor publishes now. */
    say: (topic: string, payload: string) => transport.deliver(topic, payload),
    alarm: (id: string) => site.desk.live().alarms.find((alarm) => alarm.id === id),
  };
}
