import type { Farm } from '../shared/farm/farm.ts';
import type { Reading } from '../shared/readings.ts';
import { type EpochMs, minuteMs, secondMs } from '../shared/time.ts';
import { isUsable } from '../shared/usable.ts';
import type { DelayMemory } from './conditions/delayed.ts';
import { couldTurn, excess, stepLimit } from './conditions/limit.ts';
import type { Signal } from './conditions/signal.ts';
import { type AlarmEntry, refresh, type SignalEntry, type SignalWatch } from './entries.ts';
import type { AlarmRecords } from './records.ts';
import { type AlarmEvent, shownState } from './state.ts';
import type { Transitions } from './transitions.ts';

/** A reading older than this when it arrives is history: judged and journalled, but it rings nobody. */
const freshForMs = 5 * minuteMs;

interface JudgeNeeds {
  /** What watches and signals remember across restarts. */
  records: Pick<AlarmRecords, 'signal' | 'loadWatches'> & {
    saveWatch(alarm: string, signal: string, memory: DelayMemory): unknown;
    saveSignal(signal: string, memory: string): unknown;
  };
  transitions: Pick<Transitions, 'note'>;
  guard: { touch: () => void; look: () => void };
  apply: (entry: AlarmEntry, event: AlarmEvent) => void;
}

interface Moment {
  t: EpochMs;
  fresh: boolean;
  usable: boolean;
}

function couldMove({ entry, memory, unsettled }: SignalWatch, low: number, high: number): boolean {
  if (unsettled || memory.pendingSince !== null) return true;
  const { peak, limit, definition } = entry;
  if (memory.on && peak !== null && [low, high].some((value) => excess(limit, value) > excess(limit, peak)))
    return true;
  return definition.rules.some((rule) => couldTurn(rule, memory, low, high));
}

/** What listens to a channel or to another signal. */
interface Node {
  lastT: EpochMs;
  watches: SignalWatch[];
  signals: { out: string; signal: Signal; ofHealth: boolean }[];
}

/** Holds signals against limits. While nothing crosses one, a reading costs a look-up and a comparison. */
export function createSignalJudge({ records, transitions, guard, apply }: JudgeNeeds) {
  let nodes = new Map<string, Node>();
  let signals = new Map<string, Signal>();
  let freshMs = new Map<string, number>();

  /** The alarm follows its watches: it holds while any of them does. */
  const settle = (watch: SignalWatch, t: EpochMs) => {
    const { entry } = watch;
    const holds = entry.watches.some((one) => one.memory.on);
    for (const one of entry.watches) one.unsettled = false;
    if (holds === entry.memory.holds) return;
    if (holds && entry.thread === null) entry.peak = null;
    refresh(entry);
    apply(entry, { type: 'condition', t, holds, since: watch.memory.onSince ?? t });
  };

  const noteLate = (watch: SignalWatch, t: EpochMs) => {
    const { entry } = watch;
    watch.unsettled = true;
    const shown = shownState(entry.memory);
    refresh(entry);
    const event = watch.memory.on ? 'late-raised' : 'late-cleared';
    transitions.note(entry, t, { event, from: shown, to: shown });
  };

  const judgeWatch = (
    watch: SignalWatch,
    t: EpochMs,
    value: number,
    detail: string | null,
    fresh: boolean,
  ) => {
    watch.lastValue = value;
    watch.lastDetail = detail;
    const { entry } = watch;
    const before = watch.memory;
    entry.limit = entry.definition.ruleAt(t);
    const after = stepLimit(entry.limit, before, t, value);
    if (after !== before) {
      guard.touch();
      watch.memory = after;
      records.saveWatch(entry.definition.id, watch.signal, after);
    }
    const turned = after.on !== before.on;
    if (turned && !fresh) noteLate(watch, t);
    else if (turned || (fresh && watch.unsettled)) settle(watch, t);
    if (shownState(entry.memory) !== 'normal' && refresh(entry)) guard.look();
  };

  const feed = (source: string, { t, fresh, usable }: Moment, value: number, detail: string | null) => {
    const node = nodes.get(source);
    if (node === undefined || t <= node.lastT) return;
    node.lastT = t;
    if (usable) for (const watch of node.watches) judgeWatch(watch, t, value, detail, fresh);
    for (const { out, signal, ofHealth } of node.signals) {
      if (!usable && !ofHealth) continue;
      const next = signal.read(source, t, value);
      if (signal.keep?.dirty()) {
        guard.touch();
        records.saveSignal(out, signal.keep.save());
      }
      // What a health signal says is good even of a reading that is not.
      if (next !== null) feed(out, { t, fresh, usable: true }, next, signal.detail?.() ?? null);
    }
  };

  const nodeAt = (source: string): Node => {
    const known = nodes.get(source);
    if (known) return known;
    const node = { lastT: Number.NEGATIVE_INFINITY, watches: [], signals: [] };
    nodes.set(source, node);
    return node;
  };

  const recalled = (out: string, signal: Signal): Signal => {
    const text = signal.keep && records.signal(out);
    if (text) signal.keep!.load(text);
    return signal;
  };
  /** Signals that stay keep what they have gathered. */
  const plan = (entries: Iterable<SignalEntry>) => {
    const kept = signals;
    signals = new Map();
    for (const { definition } of entries)
      for (const { out, sources, create, ofHealth = false } of definition.plans) {
        if (signals.has(out)) continue;
        const signal = kept.get(out) ?? recalled(out, create());
        signals.set(out, signal);
        for (const source of sources) nodeAt(source).signals.push({ out, signal, ofHealth });
      }
  };

  return {
    /** Takes up the definitions of a farm, with what their watches remembered. */
    index(farm: Farm, entries: ReadonlyMap<string, AlarmEntry>): void {
      nodes = new Map();
      freshMs = new Map();
      for (const { id, sensor } of farm.channels.values())
        freshMs.set(id, Math.max(freshForMs, 2 * sensor.everyS * secondMs));
      const watching = [...entries.values()].filter((entry) => entry.kind === 'signal');
      plan(watching);
      for (const { alarm, watch: signal, memory } of records.loadWatches()) {
        const entry = entries.get(alarm);
        const watch = entry?.kind === 'signal' && entry.watches.find((one) => one.signal === signal);
        if (watch) watch.memory = memory;
      }
      for (const entry of watching) {
        const differs = entry.watches.some((watch) => watch.memory.on) !== entry.memory.holds;
        for (const watch of entry.watches) {
          watch.unsettled = differs;
          nodeAt(watch.signal).watches.push(watch);
        }
      }
    },

    /**
     * Whether any reading of a channel between two values could change an alarm as things stand: turn it, end
     * a pending delay, or go further than it went. For replays, which leave out what cannot.
     */
    couldMatter(channel: string, low: number, high: number): boolean {
      const node = nodes.get(channel);
      if (node === undefined) return false;
      return node.signals.length > 0 || node.watches.some((watch) => couldMove(watch, low, high));
    },

    judge({ channel, t, value, quality, receivedAt }: Reading): void {
      const limit = freshMs.get(channel);
      if (limit === undefined || quality === 'out-of-range') return;
      // A sensor whose clock runs ahead still measures well, and its readings carry the time of receipt.
      feed(channel, { t, fresh: receivedAt - t <= limit, usable: isUsable(quality) }, value, null);
    },

    /** The clock was set back: what was seen of the time to come is forgotten, or nothing were judged until then. */
    clockSetBack(farm: Farm, entries: ReadonlyMap<string, AlarmEntry>, now: EpochMs): void {
      signals = new Map();
      this.index(farm, entries);
      for (const entry of entries.values())
        if (entry.kind === 'signal')
          for (const watch of entry.watches)
            if ((watch.memory.pendingSince ?? now) > now)
              watch.memory = { ...watch.memory, pendingSince: null };
    },

    /** Where the value that a signal watches goes, or null while it goes nowhere that matters. */
    outlook: (signal: string) => signals.get(signal)?.outlook?.() ?? null,

    /** Something counted or computed elsewhere, held against its limit like a reading. */
    count: (name: string, t: EpochMs, value: number, detail: string | null = null): void =>
      feed(name, { t, fresh: true, usable: true }, value, detail),
  };
}
