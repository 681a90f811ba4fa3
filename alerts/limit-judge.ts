import type { Farm } from '../shared/farm/farm.ts';
import type { Reading } from '../shared/readings.ts';
import { type EpochMs, minuteMs, secondMs } from '../shared/time.ts';
import { isUsable } from '../shared/usable.ts';
import { stepLimit } from './conditions/limit.ts';
import { type AlarmEntry, type LimitWatch, refresh } from './entries.ts';
import type { AlarmRecords } from './records.ts';
import { type AlarmEvent, shownState } from './state.ts';
import type { Transitions } from './transitions.ts';

/** A reading older than this when it arrives is history: judged and journalled, but it rings nobody. */
const freshForMs = 5 * minuteMs;

interface JudgeNeeds {
  records: AlarmRecords;
  transitions: Transitions;
  guard: { touch: () => void; look: () => void };
  apply: (entry: AlarmEntry, event: AlarmEvent) => void;
}

/** Holds readings against limits. While nothing crosses one, a reading costs a look-up and a comparison. */
export function createLimitJudge({ records, transitions, guard, apply }: JudgeNeeds) {
  let byChannel = new Map<string, { watches: LimitWatch[]; freshMs: number }>();

  /** The alarm follows its watches: it holds while any of them does. */
  const settle = (watch: LimitWatch, t: EpochMs) => {
    const { entry } = watch;
    const holds = entry.watches.some((one) => one.memory.on);
    for (const one of entry.watches) one.unsettled = false;
    if (holds === entry.memory.holds) return;
    if (holds && entry.thread === null) entry.peak = null;
    refresh(entry);
    apply(entry, { type: 'condition', t, holds, since: watch.memory.onSince ?? t });
  };

  const noteLate = (watch: LimitWatch, t: EpochMs) => {
    const { entry } = watch;
    watch.unsettled = true;
    const shown = shownState(entry.memory);
    refresh(entry);
    const event = watch.memory.on ? 'late-raised' : 'late-cleared';
    transitions.note(entry, t, { event, from: shown, to: shown });
  };

  const judgeOne = (watch: LimitWatch, { t, value }: Reading, fresh: boolean) => {
    if (t <= watch.lastT) return;
    watch.lastT = t;
    watch.lastValue = value;
    const { entry } = watch;
    const before = watch.memory;
    const after = stepLimit(entry.definition.limit, before, t, value);
    if (after !== before) {
      guard.touch();
      watch.memory = after;
      records.saveWatch(entry.definition.id, watch.channel, after);
    }
    const turned = after.on !== before.on;
    if (turned && !fresh) noteLate(watch, t);
    else if (turned || (fresh && watch.unsettled)) settle(watch, t);
    if (shownState(entry.memory) !== 'normal' && refresh(entry)) guard.look();
  };

  return {
    /** Takes up the limits of a farm, with what they remembered. */
    index(farm: Farm, entries: ReadonlyMap<string, AlarmEntry>): void {
      byChannel = new Map();
      for (const { id, sensor } of farm.channels.values())
        byChannel.set(id, { watches: [], freshMs: Math.max(freshForMs, 2 * sensor.everyS * secondMs) });
      for (const { alarm, watch: channel, memory } of records.loadWatches()) {
        const entry = entries.get(alarm);
        const watch = entry?.kind === 'limit' && entry.watches.find((one) => one.channel === channel);
        if (watch) watch.memory = memory;
      }
      for (const entry of entries.values()) {
        if (entry.kind !== 'limit') continue;
        const differs = entry.watches.some((watch) => watch.memory.on) !== entry.memory.holds;
        for (const watch of entry.watches) {
          watch.unsettled = differs;
          byChannel.get(watch.channel)?.watches.push(watch);
        }
      }
    },

    judge(reading: Reading): void {
      // A sensor whose clock runs ahead still measures well, and its readings carry the time of receipt.
      if (!isUsable(reading.quality)) return;
      const watched = byChannel.get(reading.channel);
      if (watched === undefined) return;
      const fresh = reading.receivedAt - reading.t <= watched.freshMs;
      for (const watch of watched.watches) judgeOne(watch, reading, fresh);
    },
  };
}
