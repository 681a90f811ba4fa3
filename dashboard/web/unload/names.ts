import type { FarmView, LiveState } from '../../../shared/live.ts';
import type { HotLoad } from '../../../shared/unloads.ts';
import { namesOf } from '../parts/names.ts';
import { unload as text } from '../text/unload.ts';

/** `40 × Block 2 kg` */
export const loadWords = (load: HotLoad, farm: FarmView): string =>
  text.load(load.count, namesOf(farm).container(load.container));

/** A room by its name; one that the farm file no longer knows by its id. */
export const roomName = (id: string, farm: FarmView): string =>
  farm.rooms.find((room) => room.id === id)?.name ?? id;

/** `K710 Oyster, Larch 2`; the id alone where the batch is not known. */
export function batchName(id: string, live: Pick<LiveState, 'farm' | 'batches'>): string {
  const batch = live.batches.find((one) => one.id === id);
  return batch === undefined ? id : `${id} ${namesOf(live.farm).strain(batch.strain)}`;
}
