/** A name for an event, not to be guessed twice; works on plain http, where randomUUID does not. */
export const newId = (): string =>
  Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(16).padStart(2, '0')).join(
    '',
  );
