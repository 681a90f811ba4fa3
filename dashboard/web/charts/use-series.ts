import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { messageOf } from '../../../shared/errors.ts';
import type { Quantity, Series } from '../../../shared/readings.ts';
import { read } from '../api.ts';

/** Points asked for: as many as a wide screen can show. */
const points = 1_500;
/** On a narrow one the ups and downs of a cooler run together, so that its mean over longer is asked for. */
const narrow = '(max-width: 999px)';
const narrowPoints = 60;

/** How many points to ask for of a channel, by the screen there is. */
export const pointsFor = (quantity: Quantity | undefined): number =>
  quantity === 'cooler-on' && matchMedia(narrow).matches ? narrowPoints : points;

interface Loaded {
  series: Series[];
  from: number;
  to: number;
}

const seriesPath = (base: string, channel: string, from: number, to: number, maxPoints: number): string =>
  `${base}/series?channel=${encodeURIComponent(channel)}&from=${from}&to=${to}&maxPoints=${maxPoints}`;

/** Reads several channels over one span. What was read stays on screen until the next has come. */
export function useSeries(
  base: string,
  channels: readonly string[],
  from: number,
  to: number,
  pointsOf: (channel: string) => number = () => points,
) {
  const loaded = useSignal<Loaded | null>(null);
  const failed = useSignal<string | null>(null);
  const key = `${channels.join(' ')} ${from} ${to}`;
  useEffect(() => {
    const abort = new AbortController();
    Promise.all(
      channels.map((channel) =>
        read<Series>(seriesPath(base, channel, from, to, pointsOf(channel)), abort.signal),
      ),
    ).then(
      (series) => {
        if (abort.signal.aborted) return;
        loaded.value = { series, from, to };
        failed.value = null;
      },
      (error: unknown) => {
        if (!abort.signal.aborted) failed.value = messageOf(error);
      },
    );
    return () => abort.abort();
  }, [base, key]);
  return { loaded: loaded.value, failed: failed.value };
}
