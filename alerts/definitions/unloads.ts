import type { AlarmView } from '../../shared/alarms.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import { minuteMs } from '../../shared/time.ts';
import { unloadHold } from '../../shared/unload/watched.ts';
import type { LimitRule } from '../conditions/limit.ts';
import { spokenSpan, spokenStep } from '../measures.ts';
import { type UnloadTrouble, unloadAlarm, unloadSignal, unloadTroubles } from '../unload-watch.ts';
import type { Counsel } from './counsel.ts';
import { type Evidence, ruleOf, type SignalDefinition } from './definition.ts';

interface Trouble extends Counsel {
  what: string;
  unit: string;
  rule: LimitRule;
  raised: (evidence: Evidence) => string;
  over: string;
}

const load = ({ detail }: Evidence) => (detail ? ` (${detail})` : '');
const above = (limit: number, deadband: number, onDelayMin: number, offDelayMin: number): LimitRule => ({
  side: 'above',
  ...{ limit, deadband, onDelayMs: onDelayMin * minuteMs, offDelayMs: offDelayMin * minuteMs },
});

/** Margins are assumed: beyond a band that holds nine of ten, by what a sensor and a moment may be off. */
const troubles: Record<UnloadTrouble, Trouble> = {
  beyond: {
    what: 'warmer than the unload was planned to make it',
    unit: ' K',
    rule: above(0.5, 0.4, 3, 5),
    raised: (evidence) =>
      `${spokenStep(evidence.value)} above the most that this unload was planned to bring${load(evidence)}`,
    over: 'within the plan of the unload again',
    priority: 1,
    consequence: 'More heat comes into the room than it can carry off; bags may pass what they stand.',
    advice:
      'Take part of the load out again, or open the room to cooler air; see that cooling and fans run. Hot containers burn: gloves.',
    respondWithinMin: 20,
  },
  slow: {
    what: 'load does not cool as planned',
    unit: ' K',
    rule: above(1, 0.5, 10, 10),
    raised: (evidence) => `load is ${spokenStep(evidence.value)} warmer than planned${load(evidence)}`,
    over: 'load cools as planned again',
    priority: 3,
    consequence: 'It will be cool enough to inoculate later than planned, and warms the room for longer.',
    advice: 'Spread the containers apart so that air passes between them, or put a fan at them.',
    respondWithinMin: 120,
  },
  warm: {
    what: 'load is still too warm to inoculate',
    unit: ' K',
    rule: above(0, 0.2, 0, 0),
    raised: (evidence) =>
      `batches are being made, and the load is still ${spokenStep(evidence.value)} too warm inside${load(evidence)}`,
    over: 'load is cool enough to inoculate',
    priority: 2,
    consequence: 'Spawn put into a hot core is harmed or killed, however cool the outside feels.',
    advice:
      'Stop, and measure the core of one container before any more spawn goes in. What is hot outside burns: gloves.',
    respondWithinMin: 5,
  },
  forgotten: {
    what: 'unload was not ended',
    unit: ' min',
    rule: above(30, 1, 0, 0),
    raised: ({ value, detail }) =>
      `the unload${detail ? ` (${detail})` : ''} should have been over ${spokenSpan(value * minuteMs)} ago`,
    over: 'unload was ended',
    priority: 3,
    consequence: 'The ordinary alarms of this room ring again, whatever the load still does.',
    advice: 'Look at the load, and end the unload when it is over.',
    respondWithinMin: 240,
  },
};

/** What is looked after in the place of ordinary high alarms while a hot load cools in a room. */
export function unloadAlarms(farm: Farm): SignalDefinition[] {
  return [...farm.rooms.values()].flatMap(({ id: room, name }) =>
    unloadTroubles.map((trouble): SignalDefinition => {
      const { what, unit, rule: base, raised, over, ...counsel } = troubles[trouble];
      const { priority } = counsel;
      return {
        ...{ kind: 'signal', id: unloadAlarm(room, trouble), name: `${name}: ${what}` },
        ...{ ...counsel, room, shelf: null, route: null, unit, base, plans: [], causes: [] },
        // Nobody need confirm that a hot hour is past.
        rule: { ...ruleOf(priority), endsItself: trouble !== 'beyond' },
        ringsForThem: trouble === 'beyond',
        rules: [base],
        ruleAt: () => base,
        watched: new Map([[unloadSignal(room, trouble), { channel: null, at: null }]]),
        raised: (evidence) =>
          Number.isFinite(evidence.value) ? `${name}: ${raised(evidence)}` : `${name}: ${over}`,
        over: () => `${name}: ${over}`,
      };
    }),
  );
}

/** Ordinary alarms that an unload answers while it goes by its plan. */
const answered = /^(high|high-high|predicted-high|rises-fast|no-cooling)\//;

const isOfWarmth = (id: string): boolean =>
  answered.test(id) && (id.endsWith('.temperature') || id.startsWith('no-cooling/'));

/**
 * Titles of alarms of a room that hold, also while they are shelved, and say that its cooling may have failed. One
 * that a declared load holds back says nothing of it; that the room is beyond that load's plan does.
 */
export const titlesAgainstCooling = (alarms: readonly AlarmView[], room: string): string[] =>
  alarms.flatMap(({ id, room: at, title, state, conditionHolds }) => {
    const speaks = isOfWarmth(id) || id === unloadAlarm(room, 'beyond');
    const stands = conditionHolds && state !== 'suppressed' && state !== 'out-of-service';
    return at === room && speaks && stands ? [title] : [];
  });

/** The definitions with those of ordinary warmth held back while an unload in their room is underway. */
export const heldBackByUnloads = (definitions: readonly SignalDefinition[]): SignalDefinition[] =>
  definitions.map((definition) => {
    const { id, room, causes } = definition;
    if (room === null || !isOfWarmth(id)) return definition;
    return { ...definition, causes: [...causes, unloadHold(room), unloadAlarm(room, 'beyond')] };
  });
