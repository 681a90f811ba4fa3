import type { Farm } from '../../shared/farm/farm.ts';
import type { BrokerDoor, Transport } from '../../shared/ports.ts';
import type { Clock } from '../../shared/time.ts';
import { readCertificate } from '../certificate.ts';
import { readBrokerAccess } from './broker-access.ts';
import { createBrokerGuard } from './broker-guard.ts';
import { createEmbeddedBroker, type EmbeddedBroker } from './embedded-broker.ts';
import { createMqttTransport } from './mqtt-transport.ts';

interface Parts {
  farm: Farm;
  /** Address of a broker, instead of what the farm file says. */
  brokerUrl: string | undefined;
  /** Who may connect to the built-in broker; undefined for anybody on this machine. */
  door: BrokerDoor | undefined;
  /** Topics that a light or a horn may hear. */
  alarmTopics: string;
  clock: Clock;
  log: (level: 'info' | 'warn' | 'error', text: string, error?: unknown) => void;
}

/**
 * The broker that the command line or the farm file names, or the built-in one.
 * @throws AppError 'transport' or 'farm-file' when a secret or a certificate that the farm file names is missing.
 */
export function chooseTransport(parts: Parts): Transport | EmbeddedBroker {
  const { farm, brokerUrl, door, alarmTopics, clock, log } = parts;
  const named = farm.file.broker;
  const { id } = farm.file.site;
  if (brokerUrl !== undefined || (named !== undefined && 'url' in named)) {
    const settings = named !== undefined && 'url' in named ? named : undefined;
    return createMqttTransport({
      access: readBrokerAccess({ ...settings, url: brokerUrl ?? settings!.url }, process.env),
      clientId: settings?.clientId ?? `shelfwarden-${id}`,
      clock,
      log,
      presenceTopic: `shelfwarden/${id}/presence`,
    });
  }
  const { port, host, tls } =
    named !== undefined && 'embedded' in named
      ? named.embedded
      : { port: 1883, host: '127.0.0.1', tls: undefined };
  return createEmbeddedBroker({
    clock,
    log,
    host,
    port,
    guard: door && createBrokerGuard({ door, clock, alarmTopics, log }),
    tls: tls && readCertificate(tls, 'the built-in broker'),
  });
}
