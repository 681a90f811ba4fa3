import { strainPageOf } from '../../../../collector/learning/strain-page.ts';
import type { AcknowledgeLinkView, AlarmView } from '../../../../shared/alarms.ts';
import type { BagEvent } from '../../../../shared/bags.ts';
import { AppError } from '../../../../shared/errors.ts';
import type { LiveChange, LiveState } from '../../../../shared/live.ts';
import type { SiteDesk, TrainingDesk } from '../../../../shared/ports.ts';
import type { LimitedBand } from '../../../../shared/tuning.ts';
import type { UnloadEvent } from '../../../../shared/unloads.ts';
import { pastAt, planFor, roomPageAt, unloadDetailAt } from '../../../browser/fixture/unloads.ts';
import { finishedBatch } from '../../../tools/finished-batch.ts';
import { strainFarm } from '../../../tools/strain-farm.ts';

export const startedAt = 1_770_000_000_000;

export const alarm: AlarmView = {
  id: 'high/warm-air.temperature',
  state: 'unacknowledged',
  priority: 1,
  title: 'Warm room too warm: 29.6 °C, limit 28',
  advice: 'Open the vents; half an hour.',
  consequence: 'Bags on the top shelves are lost.',
  respondWithinMin: 30,
  since: startedAt,
  raisedAt: startedAt,
  channel: 'warm-air.temperature',
  room: 'warm-room',
  shelf: null,
  value: 29.6,
  limit: 28,
  ringing: true,
  conditionHolds: true,
  shelvedUntil: null,
  delivery: { waiting: 0, sent: 1, failed: 0 },
};

const noLimit = { low: null, high: null };
const roomNamed = (id: string): LiveState['farm']['rooms'][number] => ({
  id,
  name: id,
  limits: { temperature: noLimit, humidity: noLimit },
  channels: [],
  racks: [],
});
const channelIn = (id: string, room: string): LiveState['farm']['channels'][number] => ({
  id,
  quantity: 'temperature',
  unit: 'degC',
  sensor: id.split('.')[0]!,
  room,
  shelf: null,
  everyS: 60,
});
export const band: LimitedBand = {
  ...{
    at: 'warm-room',
    measure: 'temperature',
    name: 'Warm room',
    unit: '°C',
    room: 'warm-room',
    shelf: null,
  },
  channels: ['warm-air.temperature'],
  written: { high: 28 },
  holds: {
    ...{ lowLow: null, low: null, high: 28, highHigh: null, risePerH: null, fallPerH: null },
    ...{ deadband: 0.2, onDelayS: 60, offDelayS: 60, reAlarmMin: null, shelveCapMin: 480, during: [] },
  },
  inherited: false,
  limited: true,
  version: 'first',
  alarms: [],
};

const linkView = (usable: boolean): AcknowledgeLinkView => ({
  usable,
  why: usable ? null : 'This link has been used already.',
  alarm: alarm.id,
  title: alarm.title,
  who: 'Rowan',
});

const emptyState = (kind: LiveState['kind']): LiveState => ({
  kind,
  now: startedAt,
  farm: {
    version: 1,
    site: { id: 'fernhollow', name: 'Fernhollow', timeZone: 'America/Chicago' },
    rooms: ['warm-room', 'cold-room'].map(roomNamed),
    channels: [
      channelIn('warm-air.temperature', 'warm-room'),
      channelIn('cold-air.temperature', 'cold-room'),
    ],
    derived: [],
    species: [],
    strains: [],
    containers: [],
  },
  channels: {
    'warm-air.temperature': { t: startedAt, value: 29.6, quality: 'good', trendPerH: null, silent: false },
    'cold-air.temperature': { t: startedAt, value: 4.1, quality: 'good', trendPerH: null, silent: false },
  },
  alarms: [alarm],
  batches: [],
  forecasts: [],
  unloads: { open: [], guesses: [] },
  notices: [],
  parts: [{ part: 'broker', state: 'ok', text: 'embedded, 3 clients', since: startedAt }],
  run: null,
});

/** A desk over plain memory: as a site behaves towards the server, without sensors, disk or forecasts. */
export function createMemoryDesk(kind: LiveState['kind'] = 'farm') {
  const listeners = new Set<(change: LiveChange) => void>();
  const state = emptyState(kind);
  const events: BagEvent[] = [];
  const unloadEvents: UnloadEvent[] = [];
  let linkUsed = false;
  const desk: SiteDesk = {
    live: () => state,
    onChange(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    async series({ channel, from, to }) {
      if (!(channel in state.channels)) throw new AppError('not-found', `There is no channel ${channel}.`);
      const point = (t: number) => ({ t, count: 1, min: 20, max: 20, mean: 20, last: 20, marked: 0 });
      return { channel, bucketMs: 0, points: [point(from), point(to - 1)] };
    },
    async curve(cohort) {
      if (cohort !== 'B-0001/3') throw new AppError('not-found', `There is no cohort ${cohort}.`);
      return { cohort, now: startedAt, points: [] };
    },
    strain: (id) => strainPageOf(strainFarm, [finishedBatch('AAA-111')], id),
    async shelfAir({ shelf, from }) {
      if (shelf !== 'A2') throw new AppError('not-found', `There is no shelf ${shelf}.`);
      const points = [{ t: from, tempC: 22, sdK: 1.4, source: 'filled' as const }];
      return { shelf, stepMs: 300_000, now: startedAt, points };
    },
    species: () => [
      {
        id: 'oyster',
        name: 'Oyster',
        latin: 'Pleurotus ostreatus',
        facts: [{ key: 'lagDays', name: 'lag', value: 1.5, unit: 'd', support: 'assumed', source: null }],
        response: { form: 'cardinal', tMinC: 5, tOptC: 27, tMaxC: 36 },
        strains: [],
      },
    ],
    batch(id) {
      const made = events.find((event) => event.batch === id && event.kind === 'made');
      if (made?.kind !== 'made') return undefined;
      const { strain, container, count, generation, inoculation, t, who } = made;
      const rest = { parent: null, cohorts: [], used: [], discarded: [], endedAt: null };
      return {
        state: { id, strain, container, generation, inoculation, madeAt: t, madeBy: who, count, ...rest },
        events: events.filter((event) => event.batch === id),
      };
    },
    record(event) {
      if (event.kind !== 'made' && !events.some(({ batch }) => batch === event.batch))
        throw new AppError('conflict', `There is no batch ${event.batch} yet; record how it was made first.`);
      if (!events.some(({ id }) => id === event.id)) events.push(event);
    },
    alarm(id) {
      if (id !== alarm.id) throw new AppError('not-found', `There is no alarm ${id}.`);
      return {
        alarm,
        name: 'Warm room too warm: limit 28 °C',
        unit: ' °C',
        rule: {
          ...{ limit: 28, wrong: 'above', deadband: 0.5, onDelayS: 60, offDelayS: 60, latching: false },
          ...{ reAlarmMin: 60, shelveCapMin: 480, route: null },
        },
        ...{ heldBackBy: [], holdsBack: [], curve: null, course: null, prediction: null },
        ...{ bags: [], journal: [], deliveries: [], escalation: null },
      };
    },
    actOnAlarm(id, act) {
      if (id !== alarm.id) throw new AppError('not-found', `There is no alarm ${id}.`);
      if (act.act === 'reset') throw new AppError('conflict', 'The condition still holds.');
      return { ...alarm, state: 'acknowledged', ringing: false };
    },
    alarmJournal: ({ limit }) =>
      [1, 2, 3].slice(0, limit).map((seq) => ({
        seq,
        t: startedAt,
        alarm: alarm.id,
        title: alarm.title,
        event: 'raise',
        from: 'normal',
        to: 'unacknowledged',
        who: 'system',
        why: null,
        value: 29.6,
        limit: 28,
      })),
    tuning: {
      nuisance: ({ from, to }) => ({
        ...{ from, to, alarms: 1, perDay: 1, counts: [[startedAt, 1]], floods: [], floodShare: 0, stale: [] },
        periods: { none: 143, upTo2: 1, upTo5: 0, upTo10: 0, more: 0 },
        byPriority: { 1: 1, 2: 0, 3: 0, unknown: 0 },
        offenders: [],
      }),
      limits: () => [band],
      async backTest({ at, from, to }) {
        if (at !== band.at) throw new AppError('not-found', `There is no room or shelf ${at}.`);
        const run = {
          ...{ episodes: [], perWeek: 0, fleeting: 0, chattering: 0 },
          floods: 0,
          heldMs: 0,
          unseen: 0,
        };
        return { from, to, readings: 0, unit: '°C', channel: null, now: run, changed: run, pairs: [] };
      },
      async save({ version }) {
        if (version !== band.version) throw new AppError('conflict', 'Somebody changed these limits.');
        return { ...band, version: 'next' };
      },
    },
    delivery: {
      people: () => [
        {
          id: 'rowan',
          name: 'Rowan',
          channels: [{ channel: 'email', usable: true }],
          onCall: true,
          quietUntil: null,
        },
      ],
      async tryChannel(person, channel, who) {
        if (person !== 'rowan') throw new AppError('not-found', `There is no person ${person}.`);
        return [{ step: 'accepted', ok: true, text: `${channel} for ${who}` }];
      },
      lookAtLink: (token) => linkView(token === 'good' && !linkUsed),
      useLink(token) {
        if (token !== 'good' || linkUsed) throw new AppError('conflict', 'This link has been used already.');
        linkUsed = true;
        return linkView(false);
      },
    },
    unloads: {
      async plan(question) {
        if (!state.farm.rooms.some(({ id }) => id === question.room))
          throw new AppError('not-found', `There is no room ${question.room}.`);
        return planFor(question, startedAt);
      },
      record(event) {
        if (!unloadEvents.some(({ id }) => id === event.id)) unloadEvents.push(event);
      },
      unload(id) {
        const detail = unloadDetailAt(id, startedAt, state.unloads.open);
        if (detail === undefined) throw new AppError('not-found', `There is no unload ${id}.`);
        return detail;
      },
      list: () => pastAt(startedAt),
      room(id) {
        if (!state.farm.rooms.some((room) => room.id === id))
          throw new AppError('not-found', `There is no room ${id}.`);
        return roomPageAt(id, startedAt);
      },
    },
    found: () => ({
      topics: [
        { topic: 'a/b', lastPayload: '21.5', lastAt: startedAt, messages: 3, perMinute: 1, guess: 'plain' },
      ],
      rejected: [],
    }),
    metrics: async () =>
      '# HELP shelfwarden_readings Stored.\n# TYPE shelfwarden_readings counter\nshelfwarden_readings_total 5\n# EOF\n',
  };
  return {
    desk,
    state,
    events,
    unloadEvents,
    listeners,
    change(change: Partial<LiveChange>) {
      for (const listener of listeners) listener({ now: state.now, ...change });
    },
  };
}

/** Training over plain memory: one week, one desk per run. */
export function createMemoryTraining() {
  let run: ReturnType<typeof createMemoryDesk> | undefined;
  const open = () => {
    if (run?.state.run == null) throw new AppError('conflict', 'No training run is open.');
    return run.state.run;
  };
  const desk: TrainingDesk = {
    weeks: () => [{ id: 'quiet', name: 'A quiet week', text: 'Nothing goes wrong.', days: 7 }],
    async start(week, speed) {
      if (week !== 'quiet') throw new AppError('not-found', `There is no week ${week}.`);
      run = createMemoryDesk('training');
      run.state.run = { week, speed, paused: false, startedAt, endsAt: startedAt + 1, ended: false };
    },
    setSpeed(speed) {
      open().speed = speed;
    },
    setPaused(paused) {
      open().paused = paused;
    },
    async stop() {
      run = undefined;
    },
    site: () => run?.desk,
    report: () => [{ t: startedAt, what: 'Warm room too warm', seenAt: null, seenBy: null }],
  };
  return { desk, run: () => run };
}
