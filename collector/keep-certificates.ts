import type { CertificateFiles } from '../shared/farm/screens-schema.ts';
import type { Cancel, Clock } from '../shared/time.ts';
import { type Certificate, followCertificate } from './certificate.ts';

interface Kept {
  /** Undefined where it speaks without TLS: then nothing is followed. */
  files: CertificateFiles | undefined;
  whose: string;
  onCertificate(certificate: Certificate): void;
}

/** Follows the certificates of everything that speaks TLS; what is wrong with one is shown on the screens. */
export function keepCertificates(
  all: readonly Kept[],
  { clock, notice }: { clock: Clock; notice: (id: string, words: string | null) => void },
): Cancel {
  const stops = all.map(({ files, whose, onCertificate }) =>
    files === undefined
      ? () => {}
      : followCertificate({
          files,
          whose,
          clock,
          onCertificate,
          onNotice: (words) => notice(`certificate of ${whose}`, words),
        }),
  );
  return () => {
    for (const stop of stops) stop();
  };
}
