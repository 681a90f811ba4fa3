import type { AlarmState } from '../../../shared/alarms.ts';

/**
 * A second alarm state machine, written from the standard's table and not from the product's code: letters
 * and look-up, all raises kept, chatter worked out from them. Slow and small on purpose.
 */
type Letter = 'A' | 'B' | 'C' | 'D' | 'E' | 'F';
const moves: Record<Letter, Partial<Record<'on' | 'off' | 'ack' | 'reset' | 'due', [Letter, Letter]>>> = {
  // [plain, latching]
  A: { on: ['B', 'B'] },
  B: { off: ['D', 'E'], ack: ['C', 'C'] },
  C: { off: ['A', 'F'], due: ['B', 'B'] },
  D: { on: ['B', 'B'], ack: ['A', 'A'] },
  E: { on: ['B', 'B'], ack: ['F', 'F'] },
  F: { on: ['B', 'B'], reset: ['A', 'A'] },
};
const names: Record<Letter, AlarmState> = {
  A: 'normal',
  B: 'unacknowledged',
  C: 'acknowledged',
  D: 'returned-unacknowledged',
  E: 'latched-unacknowledged',
  F: 'latched-acknowledged',
};

export interface ReferenceRule {
  latching: boolean;
  reAlarmMs: number | null;
  capMs: number;
  endsItself: boolean;
}

export function createReference(rule: ReferenceRule) {
  let letter: Letter = 'A';
  let abnormal = false;
  let everAbnormal = false;
  let ackedAt: number | null = null;
  let shelf: { until: number; oneShot: boolean; sawIt: boolean } | null = null;
  const causes = new Set<string>();
  let removed = false;
  const raises: number[] = [];
  let chatterUntil: number | null = null;
  let rings = 0;

  /** What warned of something to come does not wait for anybody once it is withdrawn. */
  const goesBy = (from: Letter, move: 'on' | 'off' | 'ack' | 'reset' | 'due'): Letter | undefined =>
    rule.endsItself && from === 'B' && move === 'off' ? 'A' : moves[from][move]?.[rule.latching ? 1 : 0];
  const held = () => removed || causes.size > 0 || shelf !== null;
  const go = (move: 'on' | 'off' | 'ack' | 'reset' | 'due', t: number): boolean => {
    const to = goesBy(letter, move);
    if (to === undefined) return false;
    const from = letter;
    letter = to;
    if (move === 'ack') ackedAt = t;
    if (to === 'A') everAbnormal = abnormal;
    if (to === 'B' && !(chatterUntil !== null && (from === 'D' || from === 'E'))) rings += 1;
    return true;
  };
  const lookAgain = () => {
    if (held()) return;
    letter = abnormal ? 'B' : rule.latching && everAbnormal ? 'E' : 'A';
    if (letter === 'A') everAbnormal = false;
    else rings += 1;
  };
  const unless = (refused: boolean, act: () => void): boolean => {
    if (!refused) act();
    return !refused;
  };

  const condition = (on: boolean, t: number) => {
    if (on === abnormal) return;
    abnormal = on;
    if (on) {
      everAbnormal = true;
      raises.push(t);
      if (shelf) shelf.sawIt = true;
      if (held()) return;
      const inMinute = raises.slice(-3).filter((raise) => t - raise <= 60_000).length;
      const already = chatterUntil !== null;
      if (already || inMinute >= 3) chatterUntil = t + 60_000;
      if (!already) go('on', t);
    } else if (shelf?.oneShot && shelf.sawIt) {
      shelf = null;
      lookAgain();
    } else if (!held() && chatterUntil === null) go('off', t);
  };

  /** Lets the clock run to `t`, with everything that falls due on the way in order. */
  const runTo = (t: number) => {
    for (;;) {
      const reAlarmAt =
        letter === 'C' && abnormal && !held() && rule.reAlarmMs !== null
          ? ackedAt! + rule.reAlarmMs
          : Infinity;
      const next = Math.min(shelf?.until ?? Infinity, chatterUntil ?? Infinity, reAlarmAt);
      if (next > t) return;
      if (shelf && shelf.until === next) {
        shelf = null;
        lookAgain();
      } else if (chatterUntil === next) {
        if (!abnormal) go('off', next);
        chatterUntil = null;
      } else go('due', next);
    }
  };

  return {
    condition,
    runTo,
    acknowledge: (t: number) => (held() ? false : go('ack', t)),
    reset: (t: number) => (held() || abnormal ? false : go('reset', t)),
    shelve: (t: number, forMs: number, oneShot: boolean) =>
      unless(held() || forMs > rule.capMs, () => {
        shelf = { until: t + forMs, oneShot, sawIt: abnormal };
        chatterUntil = null;
      }),
    unshelve: () =>
      unless(shelf === null, () => {
        shelf = null;
        lookAgain();
      }),
    loseShelving: () => {
      if (shelf === null) return;
      shelf = null;
      lookAgain();
    },
    suppress: (by: string) => {
      causes.add(by);
      chatterUntil = null;
    },
    release: (by: string) => {
      if (causes.delete(by)) lookAgain();
    },
    takeOut: () =>
      unless(removed, () => {
        removed = true;
        shelf = null;
        chatterUntil = null;
      }),
    putBack: () =>
      unless(!removed, () => {
        removed = false;
        lookAgain();
      }),
    state: (): AlarmState => {
      if (removed) return 'out-of-service';
      if (causes.size > 0) return 'suppressed';
      return shelf ? 'shelved' : names[letter];
    },
    rings: () => rings,
  };
}
