import type { Database } from 'better-sqlite3';
import type { BatchState } from '../shared/batches.ts';
import type { Farm } from '../shared/farm/farm.ts';
import type { CohortForecast } from '../shared/forecasts.ts';
import type { Beliefs } from '../shared/growth/belief.ts';
import type { PartHealth } from '../shared/live.ts';
import type { Clock, EpochMs } from '../shared/time.ts';
import type { BagBook } from './bags/bag-book.ts';
import { createForecaster } from './forecast/forecaster.ts';
import { handOverAir } from './forecast/hand-over-air.ts';
import { withAncestors } from './forecast/lineage.ts';
import { createLearner } from './learning/learner.ts';
import { createLedger } from './learning/ledger.ts';
import type { StoreHistory } from './store/history.ts';

interface SiteForecastParts {
  clock: Clock;
  database: Database;
  farm: () => Farm;
  bags: Pick<BagBook, 'batches' | 'wholeBatch'>;
  history: Pick<StoreHistory, 'readMinutes'>;
  /** False works in the calling thread: for tests. */
  inThread: boolean;
  /** Forecasts that changed, and cohorts that are no more. */
  onForecasts: (changed: CohortForecast[], ended: string[]) => void;
  onState: (state: PartHealth['state'], text: string) => void;
  onProblem: (text: string, thrown: unknown) => void;
  /** Whoever tells more than the store does is to tell it: there is a forecaster that knows nothing. */
  onEmpty: () => void;
}

/** Forecasts of a site's standing bags, and what its finished batches teach them. */
export function createSiteForecasts(parts: SiteForecastParts) {
  const { clock, farm, bags, history } = parts;
  const whole = (id: string): BatchState | undefined => bags.wholeBatch(id);

  /** Standing batches and those that they were poured from, with all that was seen of their bags. */
  const standingAndBefore = (): BatchState[] =>
    withAncestors(
      bags.batches().flatMap(({ id, endedAt }) => (endedAt === null ? (whole(id) ?? []) : [])),
      whole,
    );

  /** Hands the air that standing batches have breathed to a forecaster that knows none yet. */
  const rememberAir = () =>
    handOverAir({ farm: farm(), now: clock.now(), history, forecaster, batches: standingAndBefore() });

  const forecaster = createForecaster({
    clock,
    inThread: parts.inThread,
    reload() {
      rememberAir();
      parts.onEmpty();
    },
    onForecasts: (changed, ended) => {
      learner.onForecasts(changed, ended);
      parts.onForecasts(changed, ended);
    },
    onState: parts.onState,
  });
  let beliefs: Beliefs = { strains: [], people: [] };
  const learner = createLearner({
    ...{ clock, ledger: createLedger(parts.database), farm },
    wholeBatches: () => bags.batches().flatMap(({ id }) => whole(id) ?? []),
    traits: forecaster.traits,
    onBeliefs(next) {
      beliefs = next;
      forecaster.setBeliefs(next);
    },
    onProblem: (thrown) => parts.onProblem('Finished batches could not be put down', thrown),
  });

  return {
    ...{ curve: forecaster.curve, shelfAir: forecaster.shelfAir, setComing: forecaster.setComing },
    setDepartures: forecaster.setDepartures,
    ...{ air: forecaster.air, advance: forecaster.advance, finished: learner.finished },
    /** What is believed of strains and of people's eyes now. */
    beliefs: (): Beliefs => beliefs,
    /** Takes up what finished batches taught that was put down apart from the running site. */
    relearn: learner.refresh,
    /** From all that the store holds, so that a restart begins with forecasts. */
    start(now: EpochMs): void {
      forecaster.setFarm(farm().file);
      learner.start();
      parts.onEmpty();
      rememberAir();
      forecaster.setBatches(standingAndBefore());
      forecaster.advance(now);
    },
    farmChanged(): void {
      forecaster.setFarm(farm().file);
      learner.refresh();
    },
    /** Something happened to a batch or its bags. */
    batchChanged(id: string): void {
      const batch = whole(id);
      if (batch !== undefined) forecaster.setBatches(withAncestors([batch], whole));
    },
    async close(): Promise<void> {
      learner.stop();
      await forecaster.close();
    },
  };
}
