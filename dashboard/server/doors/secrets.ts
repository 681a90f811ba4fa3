import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';

/** A new secret of 256 bits, safe in a header, a cookie and an address. */
export const newSecret = (): string => randomBytes(32).toString('base64url');

/** A new id of 96 bits; ids are no secret. */
export const newId = (): string => randomBytes(12).toString('base64url');

/** What is stored of a secret. A plain hash is enough: nobody can guess 256 bits. */
export const digestOf = (secret: string): string => createHash('sha256').update(secret).digest('base64url');

/** Compares without telling by its time where two digests part. */
export function sameDigest(one: string, other: string): boolean {
  const a = Buffer.from(one);
  const b = Buffer.from(other);
  return a.length === b.length && timingSafeEqual(a, b);
}

/** Consonants only, so that no word comes out and nothing is mistaken for a digit (RFC 8628, 6.1). */
const letters = 'BCDFGHJKLMNPQRSTVWXZ';

/** A code of eight letters to be typed from a wall, about 34 bits, for ten minutes: `WDJB-MJHT`. */
export function newCode(): string {
  const code = Array.from({ length: 8 }, () => letters[randomInt(letters.length)]).join('');
  return `${code.slice(0, 4)}-${code.slice(4)}`;
}

/** A code as typed, in any case, with or without its hyphen. */
export const readCode = (typed: string): string => {
  const code = typed.toUpperCase().replace(/[^A-Z]/g, '');
  return `${code.slice(0, 4)}-${code.slice(4)}`;
};
