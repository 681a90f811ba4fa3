/** The part of a response that a stream writes to. */
export interface Sink {
  readonly writableLength: number;
  write(text: string): boolean;
  end(): void;
  destroy(): void;
  on(event: 'drain' | 'close', listener: () => void): void;
}

/** What may wait for a slow screen before changes are dropped for it. */
export const mostWaitingBytes = 1_000_000;
/** Heartbeats that a screen may stay behind before its stream is broken off. */
const patience = 15;

/**
 * One open stream. A screen that reads too slowly is sent nothing more until it has caught up, then the whole
 * state, so that memory stays bounded and nothing that was missed stays missing.
 */
export function createClient(sink: Sink, whole: () => string, onClose: () => void) {
  let behind = false;
  let missedBeats = 0;

  sink.on('drain', () => {
    if (!behind) return;
    behind = false;
    missedBeats = 0;
    sink.write(whole());
  });
  sink.on('close', onClose);

  const send = (text: string) => {
    if (behind) return;
    if (sink.writableLength > mostWaitingBytes) behind = true;
    else sink.write(text);
  };

  return {
    send,
    beat(text: string) {
      if (!behind) return send(text);
      missedBeats += 1;
      if (missedBeats > patience) sink.destroy();
    },
    end: () => sink.end(),
  };
}

export type Client = ReturnType<typeof createClient>;
