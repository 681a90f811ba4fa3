import type { LiveState } from '../../../shared/live.ts';
import type { UnloadView } from '../../../shared/unloads.ts';
import { link, site } from '../screen.ts';
import { settings } from '../settings.ts';
import { wall } from '../text/wall.ts';
import { unloadWords } from './unload-shown.ts';

/** How long a hot load still cools, large enough to be read across the lab. */
export function UnloadBlock({ state, view }: { state: LiveState; view: UnloadView }) {
  const { farm, unloads } = state;
  const others = unloads.open.filter(({ stage }) => stage === view.stage).length - 1;
  const { what, value, to, probe, caution } = unloadWords(view, {
    now: site.value.now.value,
    zone: farm.site.timeZone,
    temperature: settings.value.temperature,
    room: farm.rooms.find(({ id }) => id === view.room)?.name ?? view.room,
  });
  return (
    <div class="next unload-block">
      <p class="next-head">
        <a href={link({ name: 'one-unload', id: view.id })}>{what}</a>
        {others > 0 ? <span>{wall.unloadMore(others)}</span> : null}
      </p>
      <p class="next-day">
        <strong>{value}</strong>
        <span class="next-where">{to}</span>
      </p>
      {probe === null ? null : <p class="unload-probe">{probe}</p>}
      {caution === null ? null : <p class="unload-caution">{caution}</p>}
    </div>
  );
}
