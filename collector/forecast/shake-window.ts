import type { Band, CohortForecast } from '../../shared/forecasts.ts';
import { middleNode, nodeCount } from './nodes.ts';
import { hoursUntil, type Outlook } from './outlook.ts';
import { particleCount } from './particles.ts';
import { threePoints } from './quantiles.ts';
import { instantsAhead } from './ready.ts';
import { readyIfShaken } from './spells.ts';
import { hoursTo, type View } from './view.ts';

type Shake = CohortForecast['shake'];

const none: Omit<Shake, 'state'> = { opens: null, best: null, closes: null, gainDays: null };

/** Shares from which the window is at its best, and past it. */
const bestFrom = 0.27;
const lateFrom = 0.4;

/** Thermal days that a day ahead brings at the middle node. */
function paceAhead({ gained, hours, rows }: Outlook): number {
  return (24 * gained[(rows - 1) * nodeCount + middleNode]!) / hours[rows - 1]!;
}

/** Days by which a shake now would likely bring ready forward: both futures are run for each particle. */
function gainNow(view: View): number {
  const { outlook, particles, theta, share, node, part, prospects } = view;
  const gains = new Float64Array(particleCount);
  for (let i = 0; i < particleCount; i++) {
    const shaken = readyIfShaken(particles, i, theta[i]!, share[i]!);
    const left = hoursUntil(outlook, prospects.targets.ready[i]! - theta[i]!, node[i]!, part[i]!);
    const gain = left - hoursUntil(outlook, shaken - theta[i]!, node[i]!, part[i]!);
    gains[i] = Number.isFinite(gain) ? gain / 24 : 0;
  }
  return threePoints(gains, particles.weight, prospects.ranked.gain).likely;
}

/** The window in which a shake is worth it, and what it gains. */
export function shakeWindow(view: View, share: Band, ready: CohortForecast['ready']): Shake {
  const { run, batch, prospects, particles } = view;
  const { targets, helped, ranked, rows } = prospects;
  if (run.marks.some((mark) => mark.kind === 'shake')) return { state: 'done', ...none };
  if (!batch.kind.container.shakeable || batch.batch.generation === 'block')
    return { state: 'never', ...none };
  if (helped === undefined) return { state: 'never', ...none };
  if (ready.state === 'ready') return { state: 'closed', ...none };

  const closes = threePoints(hoursTo(view, prospects.closes(), rows.closes), helped, ranked.closes);
  if (closes.likely <= 0) return { state: 'closed', ...none };
  const ahead = (hours: Band) => (hours.likely > 0 ? instantsAhead(view, hours) : null);
  const best = ahead(threePoints(hoursTo(view, targets.best, rows.best), particles.weight, ranked.best));
  const opens = ahead(threePoints(hoursTo(view, targets.opens, rows.opens), particles.weight, ranked.opens));
  const early = share.likely < bestFrom && opens !== null;
  const pace = paceAhead(view.outlook);
  const gainEarly = pace > 0 ? prospects.gainAtBest / pace : 0;
  return {
    state: early
      ? 'early'
      : share.likely >= lateFrom
        ? 'closing'
        : share.likely >= bestFrom
          ? 'best'
          : 'open',
    opens,
    best,
    closes: ahead(closes),
    gainDays: ready.at === null ? null : early ? gainEarly : gainNow(view),
  };
}
