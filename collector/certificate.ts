import { createPrivateKey, X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { AppError, messageOf } from '../shared/errors.ts';
import type { CertificateFiles } from '../shared/farm/screens-schema.ts';
import { type Cancel, type Clock, dayMs, minuteMs } from '../shared/time.ts';
import { readSecretFile } from './secret-file.ts';

/** A certificate and its key, both PEM. Holds a secret: never log it. */
export interface Certificate {
  cert: string;
  key: string;
}

/** Time left at which the screens begin to say that a certificate ends. */
const warnMs = 14 * dayMs;

/**
 * Reads a certificate and its key and proves that they belong together.
 * @throws AppError 'farm-file' that says which file is wrong and how.
 */
export function readCertificate({ certFile, keyFile }: CertificateFiles, whose: string): Certificate {
  let cert: string;
  try {
    cert = readFileSync(certFile, 'utf8');
  } catch (cause) {
    throw new AppError('farm-file', `The certificate of ${whose} cannot be read: ${messageOf(cause)}`, {
      cause,
    });
  }
  const key = readSecretFile(keyFile, `The key of ${whose}`, 'farm-file');
  const pair = `The certificate of ${whose} in ${certFile} and the key in ${keyFile}`;
  let fits: boolean;
  try {
    // A secure context takes a certificate and a foreign key without a word and fails at the first handshake.
    fits = new X509Certificate(cert).checkPrivateKey(createPrivateKey(key));
  } catch (cause) {
    throw new AppError('farm-file', `${pair} are not both PEM files (${messageOf(cause)}).`, { cause });
  }
  if (!fits) throw new AppError('farm-file', `${pair} do not belong together.`);
  return { cert, key };
}

interface Following {
  files: CertificateFiles;
  /** What it stands for, in a sentence: 'the screens'. */
  whose: string;
  clock: Clock;
  /** Takes a certificate into use: the one that is there at first, then each renewed one. */
  onCertificate(certificate: Certificate): void;
  /** What to show on the screens; null while all is well. */
  onNotice(words: string | null): void;
}

/**
 * Looks at the files each minute and takes a renewed pair into use. A pair that is wrong, or half written, leaves
 * the one in use; that, and an end that is near, is said.
 */
export function followCertificate({ files, whose, clock, onCertificate, onNotice }: Following): Cancel {
  let used: Certificate | undefined;
  const look = (): void => {
    try {
      const found = readCertificate(files, whose);
      if (found.cert !== used?.cert || found.key !== used.key) onCertificate(found);
      used = found;
      onNotice(endOf(found, whose, clock));
    } catch (thrown) {
      onNotice(`${messageOf(thrown)} The one read before stays in use.`);
    }
  };
  look();
  return clock.every(minuteMs, look);
}

function endOf({ cert }: Certificate, whose: string, clock: Clock): string | null {
  const { validTo } = new X509Certificate(cert);
  const leftMs = Date.parse(validTo) - clock.now();
  if (leftMs > warnMs) return null;
  const when =
    leftMs <= 0 ? `ended on ${validTo}` : `ends in ${Math.floor(leftMs / dayMs)} days, on ${validTo}`;
  return `The certificate of ${whose} ${when}. Put a renewed one in its place; it is taken up by itself.`;
}
