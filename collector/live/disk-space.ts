import { statfs } from 'node:fs/promises';
import type { PartHealth } from '../../shared/live.ts';
import { type Cancel, type Clock, minuteMs } from '../../shared/time.ts';

/** Room that ought to be free: so much, or this share of a disk that is small. Assumed. */
const wantedBytes = 1e9;
const wantedShare = 0.05;
/** It is well again when so many times the wanted room is free, so that it does not come and go. */
const again = 1.2;

export interface DiskSpace {
  freeBytes: number;
  totalBytes: number;
}

interface DiskWatchNeeds {
  /** Folder whose disk is looked at. */
  folder: string;
  clock: Clock;
  onHealth: (state: PartHealth['state'], text: string) => void;
  space?: (folder: string) => Promise<DiskSpace>;
}

const spaceOf = async (folder: string): Promise<DiskSpace> => {
  const { bavail, blocks, bsize } = await statfs(folder);
  return { freeBytes: bavail * bsize, totalBytes: blocks * bsize };
};

const spoken = (bytes: number): string =>
  bytes >= 1e9 ? `${(bytes / 1e9).toFixed(bytes >= 1e10 ? 0 : 1)} GB` : `${Math.round(bytes / 1e6)} MB`;

/** Looks each minute how much room is left where the records are kept, and says when it gets low. */
export function watchDisk({ folder, clock, onHealth, space = spaceOf }: DiskWatchNeeds): { stop: Cancel } {
  let isLow = false;
  const look = async () => {
    try {
      const { freeBytes, totalBytes } = await space(folder);
      const wanted = Math.min(wantedBytes, wantedShare * totalBytes);
      isLow = freeBytes < (isLow ? again * wanted : wanted);
      onHealth(isLow ? 'failed' : 'ok', `${spoken(freeBytes)} of ${spoken(totalBytes)} free`);
    } catch (thrown) {
      onHealth('failed', `it cannot be asked (${(thrown as Error).message})`);
    }
  };
  void look();
  return { stop: clock.every(minuteMs, () => void look()) };
}
