import type { AlarmDetail } from './alarm-detail.ts';
import type {
  AcknowledgeLinkView,
  AlarmAct,
  AlarmJournalEntry,
  AlarmState,
  AlarmView,
  PersonView,
  Priority,
} from './alarms.ts';
import type { SpeciesView } from './api/species.ts';
import type { StrainPage } from './api/strains.ts';
import type { BagEvent } from './bags.ts';
import type { BatchState } from './batches.ts';
import type { Farm } from './farm/farm.ts';
import type { CohortCurve, ShelfAirSeries } from './forecasts.ts';
import type { LiveChange, LiveState } from './live.ts';
import type { Quality, Series, SeriesQuestion } from './readings.ts';
import type { Cancel, EpochMs } from './time.ts';
import type { BackTest, BackTestQuestion, LimitEdit, LimitedBand, Nuisance, SaveLimits } from './tuning.ts';
import type {
  RoomPage,
  UnloadDetail,
  UnloadEvent,
  UnloadPlan,
  UnloadQuestion,
  UnloadSummary,
} from './unloads.ts';

/** A message as it came from a broker. */
export interface InboundMessage {
  topic: string;
  payload: Uint8Array;
  retained: boolean;
  receivedAt: EpochMs;
}

/** Takes a message to disk, or throws: then it must not be acknowledged. Synchronous on purpose. */
export interface AcceptMessage {
  (message: InboundMessage): void;
  /** Takes several to disk in one commit, all or none. Without it a transport offers them one by one. */
  all?(messages: readonly InboundMessage[]): void;
}

export interface TransportStatus {
  state: 'connecting' | 'connected' | 'away' | 'closed';
  /** In words for a screen: `mqtt://127.0.0.1:1883, 12 clients`. */
  text: string;
  since: EpochMs;
}

/** Where readings come from: an external broker, the embedded one, or a training run's own process. */
export interface Transport {
  start(accept: AcceptMessage): Promise<void>;
  /** Replaces the set of topic filters. */
  subscribe(filters: readonly string[]): void;
  publish(topic: string, payload: string | Uint8Array, options?: { retain?: boolean }): Promise<void>;
  status(): TransportStatus;
  onStatus(listener: (status: TransportStatus) => void): Cancel;
  stop(): Promise<void>;
}

/** What a device may do on the built-in broker. */
export interface DeviceAccess {
  name: string;
  /** It publishes to this topic and those below it. */
  topic: string;
  /** It may hear the alarm topics. */
  hears: boolean;
}

/** Who may connect to the built-in broker. */
export interface BrokerDoor {
  /** What the device may do, or undefined when user or password is wrong. */
  admit(user: string, password: string): DeviceAccess | undefined;
  /** Told the name of a device that was shut out: its connection ends. */
  onRevoked(listener: (name: string) => void): Cancel;
}

export interface OutgoingMail {
  to: string;
  subject: string;
  text: string;
  html?: string;
  /** Same across retries of one message. */
  messageId: string;
  inReplyTo?: string;
  references?: string[];
}

/** One step of a trial of a channel: looked up, connected, secured, taken, or where it failed and why. */
export interface DeliveryStep {
  step: string;
  ok: boolean;
  text: string;
}

/**
 * Hands a message to a mail server. Throws AppError 'delivery': `details.permanent` when it was refused for
 * good, `details.failOver` when another way should be tried without waiting.
 */
export interface Mailer {
  send(mail: OutgoingMail): Promise<void>;
  /** Sends over a connection of its own and tells each step; never throws. */
  trial(mail: OutgoingMail): Promise<DeliveryStep[]>;
  close(): void;
}

export interface OutgoingHook {
  /** Id of the webhook in the farm file. */
  hook: string;
  /** Same across retries of one message. */
  id: string;
  /** JSON. */
  body: string;
}

/** Posts to webhooks. Throws as a mailer does; `details.gone` when the receiver wants nothing any more (410). */
export interface Webhooks {
  post(message: OutgoingHook): Promise<void>;
  trial(message: OutgoingHook): Promise<DeliveryStep[]>;
}

/** A migration of one part: forward only, numbered from 1 within the part. */
export interface Migration {
  part: string;
  number: number;
  name: string;
  sql: string;
}

/** What a topic that nobody placed last said, for setting up. */
export interface FoundTopic {
  topic: string;
  lastPayload: string;
  lastAt: EpochMs;
  messages: number;
  perMinute: number;
  guess: string;
}

/** Payloads of a topic that could not be used, counted, with the last example. */
export interface RejectedTopic {
  topic: string;
  count: number;
  lastReason: string;
  lastPayload: string;
  lastAt: EpochMs;
}

export interface JournalQuestion {
  alarm?: string | undefined;
  /** Room or shelf. */
  place?: string | undefined;
  /** State that it went to. */
  state?: AlarmState | undefined;
  who?: string | undefined;
  /** Priority by the definition that holds now. */
  priority?: Priority | undefined;
  from?: EpochMs | undefined;
  to?: EpochMs | undefined;
  /** Only lines with a lower number. */
  before?: number | undefined;
  /** At most this many, newest first. */
  limit: number;
}

/** A reading as it is replayed: when it was taken and when it arrived, epoch ms. */
export interface RecordedReading {
  t: EpochMs;
  value: number;
  quality: Quality;
  receivedAt: EpochMs;
}

/** Least and greatest value of a bucket, readings of every quality included. */
export interface Extremes {
  /** Start of the bucket. */
  t: EpochMs;
  low: number;
  high: number;
}

/** Recorded readings as a back-test goes through them. */
export interface RecordedReadings {
  /** Buckets with any reading that start in [from, to), oldest first; the width is one of the kept roll-ups. */
  extremes(channel: string, widthMs: number, from: EpochMs, to: EpochMs): Extremes[];
  /** Readings taken in [from, to), oldest first. */
  readings(channel: string, from: EpochMs, to: EpochMs): RecordedReading[];
  /** Raw readings before this may have been dropped; null when the channel never had any. */
  keptFrom(channel: string): EpochMs | null;
}

/** Changing limits in the farm file. */
export interface FarmEdits {
  /** The farm as it would be. Throws AppError 'farm-file' with every problem that the change would make. */
  tried(edit: LimitEdit): Farm;
  /** Writes the change and takes it over, or throws AppError and changes nothing. */
  save(edit: LimitEdit): Promise<void>;
}

/** Looking after alarms: what they cost people, and changing limits with their consequences in sight. */
export interface TuningDesk {
  nuisance(span: { from: EpochMs; to: EpochMs }): Nuisance;
  limits(): LimitedBand[];
  /** Replays recorded readings. Throws AppError 'not-found' or 'bad-request' with what is wrong with the change. */
  backTest(question: BackTestQuestion): Promise<BackTest>;
  /** Writes the farm file and takes it over. Throws AppError 'conflict' when another was first. */
  save(edit: SaveLimits): Promise<LimitedBand>;
}

/** People and the ways to reach them. */
export interface DeliveryDesk {
  people(): PersonView[];
  /** Sends a test message by one channel of a person, and tells what happened. */
  tryChannel(person: string, channel: string, who: string): Promise<DeliveryStep[]>;
  /** Looks at a link of a message; changes nothing. */
  lookAtLink(token: string): AcknowledgeLinkView;
  /** Acknowledges by a link of a message, once. Throws AppError 'conflict' with why it cannot be. */
  useLink(token: string): AcknowledgeLinkView;
}

export interface ShelfAirQuestion {
  shelf: string;
  from: EpochMs;
  to: EpochMs;
  maxPoints: number;
}

/** Hot loads: before, during and after. */
export interface UnloadDesk {
  /** What an unload would do. Throws AppError 'bad-request', 'not-found' or 'out-of-range' with what is wrong. */
  plan(question: UnloadQuestion): Promise<UnloadPlan>;
  /** Checks, stores and takes up what happened to an unload; the same id twice is stored once. */
  record(event: UnloadEvent): void;
  /** Throws AppError 'not-found'. */
  unload(id: string): UnloadDetail;
  /** Every unload, the newest first. */
  list(): UnloadSummary[];
  /** A room as a body of air and walls. Throws AppError 'not-found'. */
  room(id: string): RoomPage;
}

/** What screens may see and do of one site; the only thing the server knows of it. */
export interface SiteDesk {
  live(): LiveState;
  onChange(listener: (change: LiveChange) => void): Cancel;
  series(question: SeriesQuestion): Promise<Series>;
  curve(cohort: string): Promise<CohortCurve>;
  /** What was learned of a strain and how well it was forecast. Throws AppError 'not-found'. */
  strain(id: string): StrainPage;
  /** Air at a shelf as forecasts take it, measured or not; `to` may lie ahead. */
  shelfAir(question: ShelfAirQuestion): Promise<ShelfAirSeries>;
  /** What is known of each species, and what it rests on. */
  species(): SpeciesView[];
  batch(id: string): { state: BatchState; events: BagEvent[] } | undefined;
  /** Validates against what is known, stores, and returns; the same id twice is stored once. */
  record(event: BagEvent): void;
  /** Everything about one alarm. Throws AppError 'not-found'. */
  alarm(id: string): AlarmDetail;
  actOnAlarm(alarm: string, act: AlarmAct, who: string): AlarmView;
  alarmJournal(question: JournalQuestion): AlarmJournalEntry[];
  tuning: TuningDesk;
  delivery: DeliveryDesk;
  unloads: UnloadDesk;
  found(): { topics: FoundTopic[]; rejected: RejectedTopic[] };
  /** Prometheus/OpenMetrics text. */
  metrics(): Promise<string>;
}

/** Training runs: at most one at a time, apart from the farm. */
export interface TrainingDesk {
  weeks(): { id: string; name: string; text: string; days: number }[];
  start(week: string, speed: number): Promise<void>;
  setSpeed(speed: number): void;
  setPaused(paused: boolean): void;
  stop(): Promise<void>;
  /** The run's own site while one is open. */
  site(): SiteDesk | undefined;
  /** What happened in the run and when it was seen, oldest first. */
  report(): { t: EpochMs; what: string; seenAt: EpochMs | null; seenBy: string | null }[];
}
