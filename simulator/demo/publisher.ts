import mqtt from 'mqtt';
import type { SensorMessage } from '../sensor/sensor.ts';

export interface Publisher {
  publish(message: SensorMessage): void;
  /** Sendings that the broker has not taken yet. */
  waiting(): number;
  close(): Promise<void>;
}

/** With this many unsent, further ones are lost, as a radio's own small memory would lose them. */
const mostWaiting = 2_000;

/**
 * The demo's sensors as one MQTT client. It keeps trying while the broker is away and sends with QoS 1
 * when it is back.
 */
export function createPublisher(url: string, onError: (error: Error) => void): Publisher {
  const client = mqtt.connect(url, { clientId: 'fernhollow-sensors', clean: true, reconnectPeriod: 2_000 });
  client.on('error', onError);
  let waiting = 0;
  return {
    publish({ topic, payload }) {
      if (waiting >= mostWaiting) return;
      waiting += 1;
      client.publish(topic, payload, { qos: 1 }, (error) => {
        waiting -= 1;
        if (error instanceof Error) onError(error);
      });
    },
    waiting: () => waiting,
    close: async () => {
      await client.endAsync(true);
    },
  };
}
