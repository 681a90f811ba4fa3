import { batch, computed, signal } from '@preact/signals';
import type { LiveChange, LiveState } from '../../../shared/live.ts';
import type { Cancel, Clock, EpochMs } from '../../../shared/time.ts';
import type { SiteName } from '../routes.ts';
import { applyChange } from './apply-change.ts';
import { startOfContact } from './contact.ts';
import { type ClockMark, paceOf, siteTimeAt } from './site-clock.ts';
import { followSite, type Source } from './stream.ts';

/** Drawings follow the stream at most this often; a training run at 500x sends more than eyes need. */
const drawEveryMs = 50;

interface Deps {
  name: SiteName;
  clock: Clock;
  open: (url: string) => Source;
}

/** One site as this screen knows it, in signals. */
export function createSite({ name, clock, open }: Deps) {
  const base = `/api/sites/${name}`;
  const state = signal<LiveState | null>(null);
  /** True while the server says that there is no such site: no training run is open. */
  const absent = signal(false);
  const contact = signal(startOfContact(clock.now()));
  const mark = signal<ClockMark>({ siteNow: clock.now(), heardAt: clock.now() });
  const tick = signal(clock.now());

  let waiting: LiveChange[] = [];
  let drawnAt = 0;
  let cancelDraw: Cancel | null = null;

  const take = (next: LiveState) => {
    const heardAt = clock.now();
    batch(() => {
      absent.value = false;
      state.value = next;
      mark.value = { siteNow: next.now, heardAt };
      tick.value = heardAt;
    });
    drawnAt = heardAt;
  };

  const draw = () => {
    cancelDraw = null;
    const known = state.peek();
    const changes = waiting;
    waiting = [];
    if (known !== null && changes.length > 0) take(changes.reduce(applyChange, known));
  };

  const listener = {
    state: (next: LiveState) => {
      waiting = [];
      take(next);
    },
    change: (change: LiveChange) => {
      waiting.push(change);
      if (cancelDraw !== null) return;
      const rest = drawnAt + drawEveryMs - clock.now();
      if (rest <= 0) draw();
      else cancelDraw = clock.after(rest, draw);
    },
    absent: () => {
      waiting = [];
      batch(() => {
        absent.value = true;
        state.value = null;
      });
    },
    contact: (next: typeof contact.value) => {
      contact.value = next;
    },
  };

  const cancels: Cancel[] = [];
  return {
    name,
    base,
    state,
    absent,
    contact,
    /** The site's time, moving on each second. */
    now: computed<EpochMs>(() => siteTimeAt(mark.value, paceOf(state.value?.run ?? null), tick.value)),
    /** Browser instant of the last draw or second; moves whatever turns slowly. */
    tick,
    /** True while what is shown may be old because the server is not heard. */
    outOfContact: computed(() => contact.value.phase === 'lost'),
    /** Site time of the last sign of life. */
    lastHeardAt: computed<EpochMs>(() =>
      siteTimeAt(mark.value, paceOf(state.value?.run ?? null), contact.value.lastHeardAt),
    ),
    follow() {
      cancels.push(followSite({ clock, open, url: `${base}/stream`, listener }));
      cancels.push(
        clock.every(1_000, () => {
          tick.value = clock.now();
        }),
      );
    },
    leave() {
      for (const cancel of cancels.splice(0)) cancel();
      cancelDraw?.();
    },
  };
}

export type Site = ReturnType<typeof createSite>;
