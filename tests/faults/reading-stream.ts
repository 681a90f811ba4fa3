import mqtt from 'mqtt';
import type { Clock } from '../../shared/time.ts';

/** Sensors of the stream; the first of them cross a limit to and fro, the others stay where they are. */
export const sensorCount = 40;
export const edgeCount = 20;
/** Limit and deadband that the room of each of the first is given. */
export const limitC = 28;
export const deadbandC = 0.5;
/** Slow enough that no alarm counts as chattering (three begins within a minute), which would damp it. */
const sideMs = 18_000;

export const topicOf = (sensor: number): string => `kill/${sensor}/air`;

export interface Sent {
  t: number;
  value: number;
}

/** Publishes readings at QoS 1 without a pause, and remembers those that the broker has acknowledged. */
export async function startReadingStream(parts: { url: string; clock: Clock; perSecond: number }) {
  const { url, clock, perSecond } = parts;
  const client = await mqtt.connectAsync(url, { protocolVersion: 4 });
  const sent: Sent[][] = Array.from({ length: sensorCount }, () => []);
  const startedAt = clock.now();
  let waiting = 0;
  let turns = 0;
  let idle = (): void => {};

  const publish = (sensor: number): void => {
    const own = sent[sensor] as Sent[];
    const t = Math.max(clock.now(), (own.at(-1)?.t ?? 0) + 1);
    // Each has its own phase, so that begins and ends are spread over all the kills.
    const sideAt = (at: number): number => Math.floor((at + (sensor * 2 * sideMs) / edgeCount) / sideMs);
    // The side that the stream began in is cut short; a begin in it would be too near to the next one.
    const beyond = sideAt(t) % 2 === 1 && sideAt(t) > sideAt(startedAt);
    const value = sensor < edgeCount && beyond ? 30 : 24 + (own.length % 7) / 10;
    own.push({ t, value });
    waiting++;
    client.publish(topicOf(sensor), JSON.stringify({ at: t, value }), { qos: 1 }, (problem) => {
      if (problem) throw problem;
      waiting--;
      if (waiting === 0) idle();
    });
  };
  // Each sensor speaks every fifth turn.
  const turnMs = ((sensorCount / 5) * 1_000) / perSecond;
  const cancel = clock.every(turnMs, () => {
    for (let sensor = turns % 5; sensor < sensorCount; sensor += 5) publish(sensor);
    turns++;
  });

  return {
    /** By sensor, in the order they were published. */
    sent,
    /** Resolves once the broker has acknowledged everything. */
    async stop(): Promise<void> {
      cancel();
      if (waiting > 0)
        await new Promise<void>((resolve) => {
          idle = resolve;
        });
      await client.endAsync();
    },
  };
}

/** How often a sensor's condition begins and ends, by the rule as it is written in the design. */
export function expectedTurns(readings: readonly Sent[]): { begins: number; ends: number } {
  let holds = false;
  const turns = { begins: 0, ends: 0 };
  for (const { value } of readings) {
    if (!holds && value > limitC) turns.begins++;
    if (holds && value < limitC - deadbandC) turns.ends++;
    holds = holds ? value >= limitC - deadbandC : value > limitC;
  }
  return turns;
}
