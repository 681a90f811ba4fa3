/**
 * Names of the events on a site's stream. `state` holds a LiveState and begins a stream, or replaces all
 * that is known; `change` holds a LiveChange to be laid over it; `heartbeat` holds `{ now }`; `absent`
 * says that no training run is open: the stream stays, and `state` follows when one starts.
 */
export type StreamEvent = 'state' | 'change' | 'heartbeat' | 'absent';

/** A quiet stream still speaks this often, so that a lost server is noticed. */
export const heartbeatMs = 4_000;
