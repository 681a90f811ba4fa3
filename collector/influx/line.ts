import { Point } from '@influxdata/influxdb-client';
import type { LoggedReading } from '../store/follower.ts';

export const measurement = 'reading';

/**
 * A reading as line protocol, timestamp in ms. Tags depend on the reading alone, never on where its
 * sensor hangs today, so that passing it on twice writes the same point. Fields are always floats.
 */
export function lineOf(site: string, { channel, t, value, raw, quality }: LoggedReading): string {
  const [sensor = '', quantity = ''] = channel.split('.');
  return new Point(measurement)
    .tag('site', site)
    .tag('channel', channel)
    .tag('sensor', sensor)
    .tag('quantity', quantity)
    .tag('quality', quality)
    .floatField('value', value)
    .floatField('raw', raw)
    .timestamp(t)
    .toLineProtocol()!;
}
