import { dayMs, type EpochMs, hourMs } from '../../../shared/time.ts';

export const spans = ['hour', 'day', 'week', 'month', 'year', 'decade'] as const;
export type Span = (typeof spans)[number];

export const spanMs: Record<Span, number> = {
  hour: hourMs,
  day: dayMs,
  week: 7 * dayMs,
  month: 30 * dayMs,
  year: 365 * dayMs,
  decade: 3_652 * dayMs,
};

/** What a chart looks at. `to` null: it ends now and moves on. */
export interface View {
  channels: string[];
  lengthMs: number;
  to: EpochMs | null;
}

export const mostChannels = 4;
const shortest = 5 * 60_000;
const longest = 20 * 365 * dayMs;

/** The view written in an address, so that it can be kept and sent on: `?channel=a&channel=b&length=…&to=…`. */
export function viewOf(search: string, known: readonly string[]): View {
  const query = new URLSearchParams(search);
  const length = Number(query.get('length') ?? spanMs.day);
  const to = Number(query.get('to') ?? Number.NaN);
  return {
    channels: [...new Set(query.getAll('channel'))].filter((id) => known.includes(id)).slice(0, mostChannels),
    lengthMs: length >= shortest && length <= longest ? length : spanMs.day,
    to: Number.isFinite(to) && to > 0 ? to : null,
  };
}

export function searchOf({ channels, lengthMs, to }: View): string {
  const query = new URLSearchParams();
  for (const channel of channels) query.append('channel', channel);
  query.set('length', String(Math.round(lengthMs)));
  if (to !== null) query.set('to', String(Math.round(to)));
  return `?${query}`;
}

export const rangeOf = ({ lengthMs, to }: View, now: EpochMs): [EpochMs, EpochMs] => {
  const end = to ?? now;
  return [Math.max(0, Math.round(end - lengthMs)), Math.round(end)];
};

/** Half a span earlier or later; later than now is now. */
export function moved(view: View, way: -1 | 1, now: EpochMs): View {
  const to = (view.to ?? now) + (way * view.lengthMs) / 2;
  return { ...view, to: to >= now ? null : to };
}

/** What was dragged over, at least five minutes of it. */
export function zoomed(view: View, from: EpochMs, to: EpochMs): View {
  const lengthMs = Math.max(shortest, to - from);
  return { ...view, lengthMs, to: (from + to) / 2 + lengthMs / 2 };
}

export const spanOf = (lengthMs: number): Span | undefined => spans.find((span) => spanMs[span] === lengthMs);
