import { AppError } from '../../shared/errors.ts';
import type { Cancel, Clock, EpochMs } from '../../shared/time.ts';
import { createTimerQueue } from '../../shared/timer-queue.ts';

export interface ScaledClock extends Clock {
  /** Seconds of this clock to a second of the base, 0.1 to 10,000. */
  setSpeed(speed: number): void;
  setPaused(paused: boolean): void;
  /**
   * Goes to `t` at once, every timer on the way fired in order; for making a past before a run. Only
   * while paused. Throws AppError 'conflict' otherwise, 'out-of-range' for a time that has passed.
   */
  advanceTo(t: EpochMs): void;
  speed(): number;
  paused(): boolean;
  /** Speed really reached over the last turns: below `speed` when there is more to do than time for it. */
  reachedSpeed(): number;
  /** Ends it: no timer fires any more. */
  stop(): void;
}

/** Longest stretch of work before the event loop gets its turn [ms of the base]. */
const sliceMs = 8;
/** Between turns at the least [ms of the base]. */
const restMs = 4;
const smoothing = 0.1;

/**
 * A clock that runs at a multiple of `base`. Timers fire in the order of their time and each sees its
 * own time in `now()`. None is skipped: when there is more to do than time, the clock falls behind and
 * goes on from there. What a timer throws goes to `onError`, and the clock goes on.
 */
export function createScaledClock(make: {
  base: Clock;
  startAt: EpochMs;
  speed: number;
  paused?: boolean;
  onError: (error: unknown) => void;
}): ScaledClock {
  const { base, onError } = make;
  const timers = createTimerQueue();
  let now = make.startAt;
  let speed = checkedSpeed(make.speed);
  let paused = make.paused ?? false;
  let stopped = false;
  let firing = false;
  let reached = speed;
  /** Where the line of time goes through, at the last change of speed or lag. */
  let anchor = { base: base.now(), own: now };
  let wake: Cancel = () => {};

  const due = () => anchor.own + (base.now() - anchor.base) * speed;

  /** Time flows between timers too, but never past one that has yet to fire. */
  const flow = () => {
    if (!paused && !stopped && !firing) now = Math.max(now, Math.min(Math.floor(due()), timers.nextDue()));
    return now;
  };
  const anchorHere = () => {
    anchor = { base: base.now(), own: now };
  };

  const fire = () => {
    now = Math.max(now, timers.nextDue());
    firing = true;
    try {
      timers.fireFirst();
    } catch (error) {
      onError(error);
    } finally {
      firing = false;
    }
  };

  const turn = () => {
    const from = now;
    const began = base.now();
    while (!paused && !stopped && timers.nextDue() <= due() && base.now() - began < sliceMs) fire();
    if (paused || stopped) return;
    if (timers.nextDue() <= due()) anchorHere();
    else now = Math.max(now, Math.floor(due()));
    const spentMs = base.now() - began + restMs;
    reached += smoothing * (Math.min(speed, (now - from) / spentMs) - reached);
    plan();
  };

  const plan = () => {
    wake();
    if (paused || stopped) return;
    const next = timers.nextDue();
    if (next === Number.POSITIVE_INFINITY) return;
    wake = base.after(Math.max(restMs, (next - due()) / speed), turn);
  };
  const set = (at: EpochMs, action: () => void, periodMs?: number): Cancel => {
    const isNext = at < timers.nextDue();
    const cancel = timers.add(at, action, periodMs);
    if (isNext && !firing) plan();
    return cancel;
  };

  return {
    now: flow,
    after: (delayMs, action) => set(flow() + Math.max(0, delayMs), action),
    every(periodMs, action) {
      if (!(periodMs > 0))
        throw new AppError('out-of-range', `A period must be above 0 ms, not ${periodMs}.`);
      return set(flow() + periodMs, action, periodMs);
    },
    setSpeed(wanted) {
      flow();
      speed = checkedSpeed(wanted);
      reached = speed;
      anchorHere();
      if (!firing) plan();
    },
    setPaused(wanted) {
      flow();
      paused = wanted;
      anchorHere();
      if (!firing) plan();
    },
    advanceTo(t) {
      if (!paused) throw new AppError('conflict', 'Only a paused clock can be sent ahead.');
      if (!(t >= now)) throw new AppError('out-of-range', `A clock at ${now} cannot be sent back to ${t}.`);
      while (timers.nextDue() <= t) fire();
      now = t;
      anchorHere();
    },
    speed: () => speed,
    paused: () => paused,
    reachedSpeed: () => (paused ? 0 : reached),
    stop() {
      stopped = true;
      wake();
    },
  };
}

function checkedSpeed(speed: number): number {
  if (speed >= 0.1 && speed <= 10_000) return speed;
  throw new AppError('out-of-range', `A clock runs at 0.1 to 10,000 times the base, not ${speed}.`);
}
