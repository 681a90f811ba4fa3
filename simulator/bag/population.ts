import type { BagEvent, EventOf } from '../../shared/bags.ts';
import { AppError } from '../../shared/errors.ts';
import type { FarmFile } from '../../shared/farm/schema.ts';
import type { EpochMs } from '../../shared/time.ts';
import { applyToBatch, type Batch, type BatchRecord, enliven, makeBatch } from './batch.ts';
import { guessShare } from './eye.ts';
import { drawStrain, type StrainTruth } from './hidden.ts';

/** What a person saw of some bags. */
export interface Look {
  /** 0 (nothing yet) to 1 (full), in twentieths, with this person's error. */
  share: number;
  bags: number[];
  /** Bags in which something unwanted shows. */
  spoilt: number[];
}

/** How one bag really is; for scores and tests, never for a screen. */
export interface BagTruthNow {
  bag: number;
  shelf: string | null;
  share: number;
  coreTempC: number;
  vigour: number;
  contaminated: boolean;
}

/** Bags that are gone are kept this long, for an undo. */
const keepGoneMs = 2 * 86_400_000;
/** Grain is poured at the clean bench, about this warm. */
const benchC = 22;
/** An event that was carried out, or that was and has been taken back since. */
const happened = ({ applied, taken }: BatchRecord, id: string) =>
  applied.some(({ event }) => event.id === id) || taken.some(({ by, event }) => by === id || event.id === id);
const mostBackDatedS = 60 * 86_400;

/** All bags of a world. */
export interface Population {
  apply(event: BagEvent, now: EpochMs): void;
  /** One step; `give` is told the heat of each standing bag and where it stands. */
  step(now: EpochMs, give: (shelf: string | null, heatW: number) => void): void;
  look(batch: string, who: string, now: EpochMs, bags?: readonly number[]): Look;
  truthOf(batch: string): BagTruthNow[];
  /** Works out how the next standing bag's contents lie, before a step must do it for all bags at once. */
  workOut(): Iterator<undefined>;
  /** Core of the first bag on a shelf, for a probe; undefined when none stands there. */
  probeC(shelf: string): number | undefined;
  save(): BatchRecord[];
}

export function createPopulation(make: {
  farm: FarmFile;
  seed: number;
  stepS: number;
  records: BatchRecord[];
  /** Air where bags stand [°C]; null is where they wait to be placed. */
  airC: (shelf: string | null) => number;
}): Population {
  const { farm, seed, stepS, airC } = make;
  const containers = new Map(farm.containers.map((container) => [container.id, container]));
  const strains = new Map<string, StrainTruth>();
  const strainOf = (id: string): StrainTruth => {
    const known = strains.get(id);
    if (known !== undefined) return known;
    const inFarm = farm.strains.find((strain) => strain.id === id);
    const drawn = drawStrain(seed, id, inFarm?.species ?? id, inFarm?.rateFactor ?? 1);
    strains.set(id, drawn);
    return drawn;
  };
  const batches = new Map<string, Batch>();
  const settle = (record: BatchRecord) => {
    const container = containers.get(record.container);
    if (container === undefined) return;
    batches.set(record.id, enliven(record, container, strainOf(record.strain), stepS));
  };
  make.records.forEach(settle);

  const made = (event: EventOf<'made'>, now: EpochMs) => {
    const parent = event.parent && batches.get(event.parent.batch);
    const fromSpoilt =
      parent?.record.bags.some(
        ({ number, bag }) =>
          bag.truth.contaminant !== null && (event.parent?.bag === undefined || event.parent.bag === number),
      ) ?? false;
    const record = makeBatch(event, seed, strainOf(event.strain), fromSpoilt, benchC);
    record.applied.push({ event, shelvesBefore: {} });
    settle(record);
    const late = Math.min(mostBackDatedS, (now - event.t) / 1000);
    for (const bag of batches.get(event.batch)?.lively ?? [])
      for (let s = stepS; s <= late; s += stepS) bag.step(airC(null));
  };

  const forget = (now: EpochMs) => {
    for (const [id, { record }] of batches)
      if (record.bags.every(({ goneAt }) => goneAt !== null && now - goneAt > keepGoneMs)) batches.delete(id);
  };

  const find = (id: string): Batch => {
    const batch = batches.get(id);
    if (batch === undefined) throw new AppError('not-found', `No batch ${id} stands in the simulated farm.`);
    return batch;
  };
  const standing = ({ record, lively }: Batch, bags?: readonly number[]) =>
    record.bags.flatMap((state, i) =>
      state.goneAt === null && (bags === undefined || bags.includes(state.number))
        ? [{ state, bag: lively[i]! }]
        : [],
    );

  return {
    apply(event, now) {
      const batch = batches.get(event.batch);
      if (batch === undefined) {
        if (event.kind === 'made') made(event, now);
      } else if (event.kind !== 'made' && !happened(batch.record, event.id)) applyToBatch(batch, event);
    },
    step(now, give) {
      forget(now);
      for (const { record, lively } of batches.values())
        record.bags.forEach(({ goneAt, shelf }, i) => {
          if (goneAt === null) give(shelf, lively[i]!.step(airC(shelf)));
        });
    },
    look(id, who, now, bags) {
      const seen = standing(find(id), bags);
      const visible = seen.reduce((sum, { bag }) => sum + bag.visibleShare(), 0) / Math.max(1, seen.length);
      return {
        share: guessShare(visible, who, seed, `${id} ${now}`),
        bags: seen.map(({ state }) => state.number),
        spoilt: seen.filter(({ bag }) => bag.spoiltToSee()).map(({ state }) => state.number),
      };
    },
    *workOut() {
      for (const { record, lively } of [...batches.values()])
        for (const [i, { goneAt }] of record.bags.entries())
          if (goneAt === null) {
            lively[i]!.share();
            yield;
          }
    },
    truthOf: (id) =>
      standing(find(id)).map(({ state, bag }) => ({
        bag: state.number,
        shelf: state.shelf,
        share: bag.share(),
        coreTempC: bag.coreTempC(),
        vigour: bag.state.vigour,
        contaminated: bag.contaminated(),
      })),
    probeC(shelf) {
      for (const batch of batches.values())
        for (const { state, bag } of standing(batch)) if (state.shelf === shelf) return bag.coreTempC();
      return undefined;
    },
    save: () => [...batches.values()].map(({ record }) => structuredClone(record)),
  };
}
