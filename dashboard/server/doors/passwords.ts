import { randomBytes, type ScryptOptions, scrypt, timingSafeEqual } from 'node:crypto';
import { availableParallelism } from 'node:os';
import { passwordLength } from '../../../shared/door-names.ts';
import { AppError } from '../../../shared/errors.ts';
import { isCommon } from './common-passwords.ts';
import { createGate } from './gate.ts';

/** OWASP Password Storage Cheat Sheet: scrypt with N = 2^14, r = 8, p = 5 or stronger. */
const strength = { log2N: 14, r: 8, p: 5 };
const keyBytes = 32;
const saltBytes = 16;

// One core is left for readings, screens and alarms, where there are two.
const atOnce = Math.max(1, Math.min(2, availableParallelism() - 1));
const pass = createGate({ atOnce, waiting: 60 });

const derive = (password: string, salt: Buffer, { log2N, r, p }: typeof strength): Promise<Buffer> =>
  pass(
    () =>
      new Promise((resolve, reject) => {
        const N = 2 ** log2N;
        const options: ScryptOptions = { N, r, p, maxmem: 256 * N * r };
        // One form for what looks the same, so that another keyboard still opens (NIST SP 800-63B 5.1.1.2).
        scrypt(password.normalize('NFKC'), salt, keyBytes, options, (error, key) =>
          error ? reject(error) : resolve(key),
        );
      }),
  );

/**
 * Checks what a person chose: as long as `passwordLength` says, of any kind, none of the commonest, not the name.
 * @throws AppError 'bad-request', by rejection, that says what to change.
 */
export async function checkChosen(password: string, name: string): Promise<void> {
  const { length } = [...password.normalize('NFKC')];
  if (length < passwordLength.least)
    throw new AppError(
      'bad-request',
      `The password has ${length} characters; choose at least ${passwordLength.least}.`,
    );
  if (length > passwordLength.most)
    throw new AppError(
      'bad-request',
      `The password is longer than ${passwordLength.most} characters; choose a shorter one.`,
    );
  if ((await isCommon(password)) || password.toLowerCase() === name.toLowerCase())
    throw new AppError(
      'bad-request',
      'That password is one of the first anybody would try; choose another, such as four words of your own.',
    );
}

/** Hashes off the event loop; the text holds salt and strength. */
export async function hashPassword(password: string): Promise<string> {
  const salt = randomBytes(saltBytes);
  const key = await derive(password, salt, strength);
  const { log2N, r, p } = strength;
  return `$scrypt$ln=${log2N},r=${r},p=${p}$${salt.toString('base64')}$${key.toString('base64')}`;
}

/** Stands in where there is no such person or no password yet, so that the answer takes as long. */
const nobodys = `$scrypt$ln=14,r=8,p=5$${Buffer.alloc(saltBytes).toString('base64')}$${Buffer.alloc(keyBytes).toString('base64')}`;

/** Whether `password` is the one behind `stored`; as slow for nobody (null) as for somebody. */
export async function matchesPassword(password: string, stored: string | null): Promise<boolean> {
  const text = stored ?? nobodys;
  const found = /^\$scrypt\$ln=(\d+),r=(\d+),p=(\d+)\$([^$]+)\$([^$]+)$/.exec(text);
  if (found === null) throw new AppError('store', 'A stored password cannot be read; reset it.');
  const [, log2N, r, p, salt, key] = found;
  const wanted = Buffer.from(key!, 'base64');
  const got = await derive(password, Buffer.from(salt!, 'base64'), {
    log2N: Number(log2N),
    r: Number(r),
    p: Number(p),
  });
  return timingSafeEqual(got, wanted) && stored !== null;
}
