import type { LiveState } from '../../../shared/live.ts';
import { unloadHold } from '../../../shared/unload/watched.ts';
import type { Page } from '../routes.ts';

/** Where what holds an alarm back is told of: the page of another alarm, or of the hot load that was declared. */
export function pageOfRelated(alarm: string, { unloads }: Pick<LiveState, 'unloads'>): Page {
  const load = unloads.open.find(({ stage, room }) => stage === 'underway' && unloadHold(room) === alarm);
  return load === undefined ? { name: 'alarm', id: alarm } : { name: 'one-unload', id: load.id };
}
