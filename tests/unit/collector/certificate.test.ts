import { X509Certificate } from 'node:crypto';
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { type Certificate, followCertificate, readCertificate } from '../../../collector/certificate.ts';
import { createManualClock } from '../../../shared/manual-clock.ts';
import { dayMs, minuteMs } from '../../../shared/time.ts';
import { selfSigned } from '../../tools/certificate.ts';

const one = selfSigned('farm-box.example');
const other = selfSigned('farm-box.example');
const whose = 'the screens';

/** A folder with a certificate and its key as a renewing program leaves them. */
function folderWith({ cert, key }: Certificate) {
  const folder = mkdtempSync(join(tmpdir(), 'certificate-'));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const files = { certFile: join(folder, 'cert.pem'), keyFile: join(folder, 'key.pem') };
  const write = (pair: Certificate) => {
    writeFileSync(files.certFile, pair.cert);
    writeFileSync(files.keyFile, pair.key, { mode: 0o600 });
  };
  write({ cert, key });
  return { files, write };
}

describe('a certificate that the farm file names', () => {
  it('is read with its key', () => {
    expect(readCertificate(folderWith(one).files, whose)).toEqual(one);
  });

  it('is refused when everybody can read its key, without a word of what the key holds', () => {
    const { files } = folderWith(one);
    chmodSync(files.keyFile, 0o644);
    const reading = () => readCertificate(files, whose);
    expect(reading).toThrow(
      /key of the screens is in .*key\.pem, which everybody .* \(mode 644\).*chmod 600/,
    );
    expect(reading).not.toThrow(one.key.split('\n')[1]!);
  });

  it.each([
    [
      'of another pair',
      { cert: one.cert, key: other.key },
      /cert\.pem and the key in .* do not belong together/,
    ],
    ['that is no PEM', { cert: one.cert, key: 'secret' }, /are not both PEM files/],
  ])('is refused with a key %s', (_, pair, words) => {
    expect(() => readCertificate(folderWith(pair).files, whose)).toThrow(words);
  });

  it('is refused when a file is not there', () => {
    const { files } = folderWith(one);
    const missing = { ...files, keyFile: `${files.keyFile}.none` };
    expect(() => readCertificate(missing, whose)).toThrow(
      /key of the screens cannot be read.*key\.pem\.none/,
    );
  });
});

describe('a certificate in use', () => {
  const endsAt = Date.parse(new X509Certificate(one.cert).validTo);
  function follow(leftMs = 100 * dayMs) {
    const { files, write } = folderWith(one);
    const clock = createManualClock(endsAt - leftMs);
    const used: Certificate[] = [];
    const notices: (string | null)[] = [];
    const stop = followCertificate({
      files,
      whose,
      clock,
      onCertificate: (pair) => used.push(pair),
      onNotice: (words) => notices.push(words),
    });
    return { write, clock, used, notices, stop };
  }

  it('is renewed within a minute, once', () => {
    const { write, clock, used } = follow();
    clock.advanceBy(minuteMs);
    expect(used).toEqual([one]);
    write(other);
    clock.advanceBy(3 * minuteMs);
    expect(used).toEqual([one, other]);
  });

  it('stays while its files do not belong together, and that is said until they do', () => {
    const { write, clock, used, notices } = follow();
    write({ cert: other.cert, key: one.key });
    clock.advanceBy(minuteMs);
    expect(used).toEqual([one]);
    expect(notices.at(-1)).toMatch(/do not belong together\. The one read before stays in use\./);
    write(other);
    clock.advanceBy(minuteMs);
    expect(used).toEqual([one, other]);
    expect(notices.at(-1)).toBeNull();
  });

  it.each([
    ['three weeks before it ends', 21 * dayMs, /^null$/],
    ['a fortnight before', 14 * dayMs, /certificate of the screens ends in 14 days, on .*in its place/],
    ['afterwards', -1, /ended on/],
  ])('says %s what is to be done', (_, leftMs, words) => {
    expect(String(follow(leftMs).notices.at(-1))).toMatch(words);
  });
});
