import type { UnloadsLive } from '../../../shared/unloads.ts';

/**
 * Changes when the list of past unloads may have. While a load is underway something is told of it each minute, so
 * only beginnings and ends count; else anything does, since what came of a load is there a moment after its end.
 */
export const pastStamp = (unloads: UnloadsLive | undefined): unknown =>
  unloads?.open.some(({ stage }) => stage === 'underway')
    ? unloads.open.map(({ id, stage }) => `${id} ${stage}`).join(', ')
    : unloads;
