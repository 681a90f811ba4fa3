import { createStoreHistory } from '../../collector/store/history.ts';
import { storeMigrations } from '../../collector/store/migrations.ts';
import { openDatabase } from '../../collector/store/open-database.ts';
import { createReadingsLog } from '../../collector/store/readings-log.ts';
import { historySuite, t0 } from '../tools/history-suite.ts';

async function open(afterStoring: (log: ReturnType<typeof createReadingsLog>) => void) {
  const database = openDatabase({ file: ':memory:', migrations: storeMigrations, clock: { now: () => t0 } });
  const log = createReadingsLog(database);
  return {
    history: createStoreHistory(database),
    store: async (readings: Parameters<typeof log.append>[0]) => {
      log.append(readings);
      afterStoring(log);
    },
  };
}

historySuite('the store, all settled', () => open((log) => log.settle(1e6)));
historySuite('the store, nothing settled yet', () => open(() => {}));
historySuite('the store, settled in part', () => open((log) => log.settle(150)));
