import type { Cancel, EpochMs } from './time.ts';

interface Entry {
  due: EpochMs;
  order: number;
  action: () => void;
  /** Null for a timer that fires once. */
  periodMs: number | null;
  cancelled: boolean;
}

/** Timers in the order of their due time, and among equals in the order in which they were set. */
export interface TimerQueue {
  add(due: EpochMs, action: () => void, periodMs?: number): Cancel;
  /** When the next timer is due; Infinity when there is none. */
  nextDue(): EpochMs;
  /** Takes the first timer off (a periodic one is set again before it runs) and runs its action. */
  fireFirst(): void;
  readonly size: number;
}

const before = (a: Entry, b: Entry) => a.due < b.due || (a.due === b.due && a.order < b.order);

/**
 * A binary heap with cancelled entries dropped when they reach the top. It knows no clock: manual and
 * scaled clocks decide when to fire. Errors of an action pass through `fireFirst`.
 */
export function createTimerQueue(): TimerQueue {
  const heap: Entry[] = [];
  let nextOrder = 0;
  let live = 0;

  const push = (entry: Entry) => {
    let at = heap.push(entry) - 1;
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if (!before(entry, heap[parent]!)) break;
      heap[at] = heap[parent]!;
      at = parent;
    }
    heap[at] = entry;
  };

  const dropFirst = () => {
    const last = heap.pop()!;
    if (heap.length === 0) return;
    let at = 0;
    for (;;) {
      let child = 2 * at + 1;
      if (child >= heap.length) break;
      if (child + 1 < heap.length && before(heap[child + 1]!, heap[child]!)) child += 1;
      if (!before(heap[child]!, last)) break;
      heap[at] = heap[child]!;
      at = child;
    }
    heap[at] = last;
  };

  const first = (): Entry | undefined => {
    while (heap[0]?.cancelled) dropFirst();
    return heap[0];
  };

  return {
    add(due, action, periodMs) {
      const entry = { due, order: nextOrder++, action, periodMs: periodMs ?? null, cancelled: false };
      push(entry);
      live += 1;
      return () => {
        if (!entry.cancelled) live -= 1;
        entry.cancelled = true;
      };
    },
    nextDue: () => first()?.due ?? Number.POSITIVE_INFINITY,
    fireFirst() {
      const entry = first();
      if (entry === undefined) return;
      dropFirst();
      if (entry.periodMs === null) {
        entry.cancelled = true;
        live -= 1;
      } else {
        entry.due += entry.periodMs;
        entry.order = nextOrder++;
        push(entry);
      }
      entry.action();
    },
    get size() {
      return live;
    },
  };
}
