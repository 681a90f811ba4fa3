import type { Priority } from '../../shared/alarms.ts';
import type { LimitBand } from '../../shared/farm/limits-schema.ts';
import { type EpochMs, minuteMs } from '../../shared/time.ts';
import type { LimitRule } from '../conditions/limit.ts';
import type { SignalPlan } from '../conditions/signal.ts';
import type { AlarmRule } from '../state.ts';
import { type Counsel, defaultReAlarmMin, defaultShelveCapMin } from './counsel.ts';

/** What every alarm carries: where, how urgent, what follows, what to do, and how it moves. */
export interface AlarmDefinition extends Counsel {
  /** `<condition>/<place>.<measure>`, `<condition>/<sensor>` or `system/<part>`. */
  id: string;
  /** Unit of its value and limit, with the space before it where there is one: ` °C`. */
  unit: string;
  /** What is wrong, before any value is known: `Warm room too warm: limit 28 °C`. */
  name: string;
  room: string | null;
  shelf: string | null;
  rule: AlarmRule;
  route: string | null;
  /** Alarms that, while they hold, are the cause of this one: it is then suppressed by design. */
  causes: readonly string[];
  /** It rings in the place of those that it is a cause of, which say more: shelved, it stands for none of them. */
  ringsForThem?: boolean;
  /** When a part of the tool that caused it is well again, this long is given for it to end by itself. */
  lingerMs?: number;
  /** Channel whose readings are marked suspect while it holds. */
  condemns?: string;
}

/** What a title is made of. */
export interface Evidence {
  value: number;
  limit: number;
  /** Shelf or batch to name, or null when the place of the alarm says all. */
  at: string | null;
  detail: string | null;
  /** Furthest value since it was raised. */
  peak: number | null;
}

/** One signal as an alarm watches it. */
export interface Watched {
  /** Channel whose curve shows it; null where no sensor measures it. */
  channel: string | null;
  at: string | null;
}

/** A limit on signals, over all that measure the same thing in the same place. */
export interface SignalDefinition extends AlarmDefinition {
  kind: 'signal';
  /** The rule at most times; its limit is what screens show while calm. */
  base: LimitRule;
  ruleAt: (t: EpochMs) => LimitRule;
  /** Every rule that may hold at some time. */
  rules: readonly LimitRule[];
  watched: ReadonlyMap<string, Watched>;
  /** What must be computed for it; none when it watches channels as they are. */
  plans: readonly SignalPlan[];
  /** What is computed of bags and shows it, where no sensor measures it. */
  shownBy?: 'core' | 'heat';
  raised: (evidence: Evidence) => string;
  over: (evidence: Evidence) => string;
}

export interface SilenceDefinition extends AlarmDefinition {
  kind: 'silence';
  sensor: string;
  /** The one quantity that is missed, or null for the whole sensor. */
  channel: string | null;
  everyMs: number;
  /** Channel of the probe without which it need not speak: it is expected only while that stands in a hot load. */
  inLoads: string | null;
}

/** Sensors that are silent together, for one cause. */
export interface SilenceGroupDefinition extends AlarmDefinition {
  kind: 'group';
  /** Ids of sensors. */
  members: readonly string[];
  /** What is so, after its name. */
  raised: string;
}

type RuleWishes = Pick<LimitBand, 'latching' | 'reAlarmMin' | 'shelveCapMin'>;

/** How an alarm moves: as the farm file wishes, else as its priority asks. */
export const ruleOf = (
  priority: Priority,
  { latching = false, reAlarmMin, shelveCapMin = defaultShelveCapMin }: RuleWishes = {},
): AlarmRule => {
  const again = reAlarmMin ?? defaultReAlarmMin[priority];
  return {
    latching,
    reAlarmMs: again === null || again === false ? null : again * minuteMs,
    shelveCapMs: shelveCapMin * minuteMs,
  };
};
