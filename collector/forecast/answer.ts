import { messageOf } from '../../shared/errors.ts';
import { createEngine } from './engine.ts';
import type { FromEngine, ToEngine } from './protocol.ts';

/** An engine that takes messages: the same in a thread and without one. */
export function createAnswerer(reply: (message: FromEngine) => void): (message: ToEngine) => void {
  const engine = createEngine();

  const answer = (message: ToEngine): void => {
    switch (message.kind) {
      case 'farm':
        engine.setFarm(message.file);
        break;
      case 'batches':
        engine.setBatches(message.batches, message.whole);
        break;
      case 'beliefs':
        engine.setBeliefs(message.beliefs);
        break;
      case 'coming':
        engine.setComing(message.coming);
        break;
      case 'departures':
        engine.setDepartures(message.departures);
        break;
      case 'readings':
        for (const { channel, t, value, count, byHand } of message.readings)
          engine.addReadings(channel, t, value, count, byHand);
        break;
      case 'advance':
        reply({ kind: 'advanced', ...engine.advance(message.now) });
        break;
      case 'curve':
        reply({
          kind: 'curve',
          question: message.question,
          answer: engine.curve(message.cohort),
          why: `No forecast of ${message.cohort}: no such bags stand.`,
        });
        break;
      case 'air':
        reply({
          kind: 'air',
          question: message.question,
          answer: engine.shelfAir(message.about),
          why: `There is no shelf ${message.about.shelf}.`,
        });
        break;
      case 'traits': {
        const answer = engine.traits(message.batch);
        const { question } = message;
        if (typeof answer === 'string') reply({ kind: 'traits', question, answer: undefined, why: answer });
        else reply({ kind: 'traits', question, answer, why: '' });
      }
    }
  };

  return (message) => {
    try {
      answer(message);
    } catch (error) {
      reply({ kind: 'fault', text: messageOf(error) });
      // Whoever waits for an answer gets one.
      if (message.kind === 'advance') reply({ kind: 'advanced', forecasts: [], ended: [], problems: [] });
      if (message.kind === 'curve' || message.kind === 'air' || message.kind === 'traits')
        reply({
          kind: message.kind,
          question: message.question,
          answer: undefined,
          why: messageOf(error),
        });
    }
  };
}
