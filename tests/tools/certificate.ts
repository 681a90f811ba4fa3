import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** A certificate for `name` signed by itself, good for a day: trusted only by who is handed `cert` as its CA. */
export function selfSigned(name: string): { key: string; cert: string } {
  const folder = mkdtempSync(join(tmpdir(), 'certificate-'));
  try {
    execFileSync(
      'openssl',
      [
        ...[
          'req',
          '-x509',
          '-newkey',
          'ec',
          '-pkeyopt',
          'ec_paramgen_curve:prime256v1',
          '-nodes',
          '-days',
          '1',
        ],
        ...['-subj', `/CN=${name}`, '-addext', `subjectAltName=DNS:${name}`],
        ...['-keyout', 'key.pem', '-out', 'cert.pem'],
      ],
      { cwd: folder, stdio: 'ignore' },
    );
    const read = (file: string) => readFileSync(join(folder, file), 'utf8');
    return { key: read('key.pem'), cert: read('cert.pem') };
  } finally {
    rmSync(folder, { recursive: true });
  }
}
