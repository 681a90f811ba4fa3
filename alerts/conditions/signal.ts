import type { AlarmPrediction } from '../../shared/alarm-detail.ts';
import type { EpochMs } from '../../shared/time.ts';

export type Outlook = Omit<AlarmPrediction, 'channel'>;

/**
 * A value computed from readings, held against a limit like a reading itself. It sees each reading of its
 * sources once, in order of time for each source, and remembers in memory only what it can gather again.
 */
export interface Signal {
  /** The signal's value now, or null when this reading says nothing new. Must not throw. */
  read(source: string, t: EpochMs, value: number): number | null;
  /** More about the newest value, in words for a title. */
  detail?(): string;
  /** Where the value it watches goes, for drawing; null while it need not go anywhere. */
  outlook?(): Outlook | null;
  /** What it learned over days and keeps across restarts. */
  keep?: {
    /** There is something new to save. */
    dirty(): boolean;
    save(): string;
    load(text: string): void;
  };
}

/** How to make a signal. Two plans with the same `out` make the same signal. */
export interface SignalPlan {
  /** Name of the signal among channels; holds whatever its value depends on. */
  out: string;
  /** Channels that it listens to. */
  sources: readonly string[];
  /** It judges the sensor itself, so it also sees readings that are marked suspect. */
  ofHealth?: boolean;
  create(): Signal;
}
