import type { Database } from 'better-sqlite3';
import type { Farm } from '../../shared/farm/farm.ts';
import type { Person } from '../../shared/farm/people-schema.ts';
import { type Clock, type EpochMs, minuteMs } from '../../shared/time.ts';
import type { AckLinks } from './ack-links.ts';
import { type AlarmNews, alarmMailText, messageIdOf } from './email.ts';
import { createEscalations } from './escalations.ts';
import { createGoneChannels } from './gone-channels.ts';
import { createHours } from './hours.ts';
import { createOutbox, type QueuedMessage } from './outbox.ts';
import { channelsOf, routeSteps } from './route-plan.ts';
import type { Tidings } from './tidings.ts';

const lowPriority = 3;
const nobodyOnCall = 'Nobody on the route is on call at this hour, so the first on it are told.';

/** Decides who is told of a transition and writes the messages, within the transaction that is open. */
export function createNotifier(database: Database, clock: Clock, links: AckLinks | null) {
  const outbox = createOutbox(database);
  const escalations = createEscalations(database);
  const gone = createGoneChannels(database);
  let hours = { zone: '', of: createHours('UTC') };
  const hoursOf = (farm: Farm) => {
    const zone = farm.file.site.timeZone;
    if (hours.zone !== zone) hours = { zone, of: createHours(zone) };
    return hours.of;
  };

  /** Until when a message of this priority waits for a person. */
  const heldUntil = (farm: Farm, person: Person, priority: number): EpochMs | null =>
    priority < lowPriority ? null : hoursOf(farm).quietUntil(person, clock.now());

  const messageFor = (farm: Farm, tidings: Tidings, person: Person, note: string | null) => {
    const { seq, transition, thread, route: _, ...known } = tidings;
    const { site } = farm.file;
    const news: AlarmNews = {
      ...{ ...known, site, note },
      link:
        site.address === undefined
          ? null
          : `${site.address}/alarms/one?id=${encodeURIComponent(known.alarm)}`,
      acknowledge: links?.make(site.address, { alarm: known.alarm, thread, seq, person: person.id }) ?? null,
    };
    const root = messageIdOf(thread, person.id, site.id);
    const messageId = messageIdOf(transition, person.id, site.id);
    const threading = messageId === root ? {} : { inReplyTo: root, references: [root] };
    const { link, acknowledge } = news;
    const data = { ...known, site: site.id, person: person.id, note, link, acknowledge };
    return { ...alarmMailText(news), messageId, ...threading, data };
  };

  /** Returns whether there was a way to reach this person. */
  const queue = (farm: Farm, tidings: Tidings, person: Person, channel: string, note: string | null) => {
    const { seq, alarm, thread, reason, priority } = tidings;
    const queued: QueuedMessage = {
      ...{ key: String(seq), seq, alarm, thread, reason, priority, channel, recipient: person.id },
      message: messageFor(farm, tidings, person, note),
      queuedAt: clock.now(),
      heldUntil: heldUntil(farm, person, priority),
    };
    outbox.add(queued);
  };

  /** Tells a step on each person's first channel. Returns whether anybody could be told. */
  const tellStep = (
    farm: Farm,
    tidings: Tidings,
    people: readonly Person[],
    note: string | null,
  ): boolean => {
    const unreachable = gone.of(farm);
    let told = false;
    for (const person of people) {
      const [channel] = channelsOf(farm, person, unreachable);
      if (channel === undefined) continue;
      queue(farm, tidings, person, channel, note);
      told = true;
    }
    return told;
  };

  const onCallAt = (farm: Farm, people: readonly Person[]) =>
    people.filter((person) => hoursOf(farm).isOnCall(person, clock.now()));

  /** Tells the first step from `from` on that has somebody on call; -1 when there is none. */
  const tellFrom = (farm: Farm, tidings: Tidings, from: number, note: string | null): number => {
    const steps = routeSteps(farm, tidings.route);
    for (let step = from; step < steps.length; step++)
      if (tellStep(farm, tidings, onCallAt(farm, steps[step]!.people), note)) return step;
    return -1;
  };

  const dueAfter = (farm: Farm, tidings: Tidings, step: number): EpochMs =>
    clock.now() + (routeSteps(farm, tidings.route)[step]?.waitMs ?? tidings.respondWithinMin * minuteMs);

  return {
    /** It rings: the first on the route who are on call are told, the next when nobody acknowledges in time. */
    annunciate(farm: Farm, tidings: Tidings): void {
      const steps = routeSteps(farm, tidings.route);
      if (steps.length === 0) return;
      let step = tellFrom(farm, tidings, 0, null);
      if (step === -1) {
        tellStep(farm, tidings, steps[0]!.people, nobodyOnCall);
        step = 0;
      }
      escalations.begin(tidings, step, dueAfter(farm, tidings, step));
    },

    /** The condition is over: everybody who was told of the raise is told that, the same way. */
    returned(farm: Farm, tidings: Tidings): void {
      const unreachable = gone.of(farm);
      const ways = new Map<string, string>();
      for (const { recipient, channel, state } of outbox.told(tidings.alarm, tidings.thread))
        if (state !== 'failed' || !ways.has(recipient)) ways.set(recipient, channel);
      for (const [recipient, channel] of ways) {
        const person = farm.file.people.find(({ id }) => id === recipient);
        if (person === undefined) continue;
        const usable = channelsOf(farm, person, unreachable);
        const way = usable.includes(channel) ? channel : usable[0];
        if (way !== undefined) queue(farm, tidings, person, way, null);
      }
    },

    /**
     * Nobody acknowledged in time, or nobody could be reached: those who were told are told on their next
     * channel too, and the next on the route. Returns the step told last and whether anybody was left.
     */
    escalate(farm: Farm, tidings: Tidings, step: number, why: string) {
      const unreachable = gone.of(farm);
      const key = String(tidings.seq);
      const before = new Set(outbox.told(tidings.alarm, tidings.thread).map(({ recipient }) => recipient));
      let anybody = false;
      for (const person of farm.file.people) {
        if (!before.has(person.id)) continue;
        const used = outbox.usedChannels(key, person.id);
        const next = channelsOf(farm, person, unreachable).find((channel) => !used.includes(channel));
        if (next === undefined || used.length === 0) continue;
        queue(farm, tidings, person, next, why);
        anybody = true;
      }
      const told = tellFrom(farm, tidings, step + 1, why);
      return {
        step: told === -1 ? step : told,
        anybody: anybody || told !== -1,
        dueAt: dueAfter(farm, tidings, told),
      };
    },

    heldUntil,
  };
}
export type Notifier = ReturnType<typeof createNotifier>;
