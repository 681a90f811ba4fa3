import type { BagMark } from '../../../shared/forecasts.ts';
import type { LiveState } from '../../../shared/live.ts';
import { type Today, type TodayGroup, type TodayTask, today } from '../../../shared/today.ts';
import { MarkIcon } from '../drawing/mark.tsx';
import { dayOf } from '../format/time.ts';
import { numberOf } from '../format/value.ts';
import { site } from '../screen.ts';
import { common } from '../text/common.ts';
import { wall } from '../text/wall.ts';
import { UnloadBlock } from './unload-block.tsx';
import { unloadToShow } from './unload-shown.ts';

const markOf: Record<TodayTask, BagMark> = {
  shake: 'shake',
  use: 'ready',
  'too-old': 'too-old',
  look: 'look',
};

/** The right side of the wall: how many bags want what, and where; and how long a hot load still cools. */
export function TodayPanel({ state }: { state: LiveState }) {
  const now = site.value.now.value;
  const plan = today(state.farm, state.forecasts, now);
  const unload = unloadToShow(state.unloads, now);
  return (
    <section class={unload === null ? 'today' : panelClass(plan.groups.length)} aria-labelledby="today">
      <h2 id="today">{wall.today}</h2>
      {plan.groups.length === 0 ? <p class="today-nothing">{wall.nothingToDo}</p> : null}
      <ul>
        {plan.groups.map((group) => (
          <li class="task" key={group.task}>
            <span class="task-count">{group.bags}</span>
            <span class="task-word">
              {wall.task[group.task]}
              <MarkIcon
                mark={
                  group.task === 'look' && group.places.every((at) => at.ranHot)
                    ? 'ran-hot'
                    : markOf[group.task]
                }
              />
            </span>
            <span class="task-where">{whereOf(group, now, state.farm.site.timeZone)}</span>
          </li>
        ))}
      </ul>
      {unload === null ? (
        <Next plan={plan} now={now} zone={state.farm.site.timeZone} />
      ) : (
        <UnloadBlock state={state} view={unload} />
      )}
    </section>
  );
}

/** How much else stands beside a load's countdown says what of it finds room. */
const panelClass = (groups: number): string =>
  groups > 3 ? 'today today-full' : groups < 3 ? 'today today-few' : 'today';

const shelvesNamed = 4;
/** With more shelves than this there is no room for a word more. */
const shelvesWithDetail = 2;

/** `A3, C3, D3 · 2.8 d sooner` */
function whereOf(group: TodayGroup, now: number, zone: string): string {
  const shelves = group.places.map(({ shelf }) => shelf ?? common.notPlaced);
  const named = shelves.slice(0, shelvesNamed).join(', ');
  const rest = shelves.length - shelvesNamed;
  const where = rest > 0 ? `${named} ${common.more(rest)}` : named;
  const detail = detailOf(group, now, zone);
  return detail === null || shelves.length > shelvesWithDetail ? where : `${where} · ${detail}`;
}

function detailOf({ task, places }: TodayGroup, now: number, zone: string): string | null {
  const gains = places.flatMap(({ gainDays }) => (gainDays === null ? [] : [gainDays]));
  if (task === 'shake') return gains.length > 0 ? wall.sooner(numberOf(Math.max(...gains), 1)) : null;
  if (task === 'too-old') return wall.discard;
  if (task === 'look') return places.some(({ ranHot }) => ranHot) ? wall.ranHot : null;
  const dates = places.flatMap(({ by }) => (by === null ? [] : [by]));
  return dates.length > 0 ? wall.before(dayOf(Math.min(...dates), now, zone)) : null;
}

function Next({ plan, now, zone }: { plan: Today; now: number; zone: string }) {
  const { next, readyBags } = plan;
  return (
    <div class="next">
      <p class="next-head">
        <span>{wall.nextReady}</span>
        <span>{wall.readyNow(readyBags)}</span>
      </p>
      <p class="next-day">
        {next === null ? (
          <span class="next-where">{wall.nothingGrows}</span>
        ) : (
          <>
            <strong>{dayOf(next.at, now, zone)}</strong>
            <span class="next-where">{`${common.bags(next.bags)}, ${next.shelf ?? common.notPlaced}`}</span>
          </>
        )}
      </p>
    </div>
  );
}
