import type { AlarmState, Priority } from '../../../shared/alarms.ts';

/** 1 diamond, 2 triangle, 3 circle. */
const outlines: Record<Priority, preact.JSX.Element> = {
  1: <path class="priority-ground" d="M30 2 L58 30 L30 58 L2 30 Z" />,
  2: <path class="priority-ground" d="M30 5 L58 55 H2 Z" />,
  3: <circle class="priority-ground" cx="30" cy="30" r="27" />,
};

/** An alarm's priority: a figure in a shape. The figure is drawn, so that it scales with its shape. */
export function PriorityShape({ priority, label }: { priority: Priority; label: string }) {
  return (
    <svg class="priority" viewBox="0 0 60 60" role="img" aria-label={label}>
      {outlines[priority]}
      <text class="priority-figure" x="30" y={priority === 2 ? 49 : 40} text-anchor="middle">
        {priority}
      </text>
    </svg>
  );
}

/** How an alarm's state is drawn: filled, outline only, hatched, or only listed. */
export const lookOf: Record<AlarmState, 'filled' | 'outline' | 'hatched' | 'listed'> = {
  normal: 'listed',
  unacknowledged: 'filled',
  acknowledged: 'outline',
  'returned-unacknowledged': 'hatched',
  'latched-unacknowledged': 'hatched',
  'latched-acknowledged': 'outline',
  shelved: 'listed',
  suppressed: 'listed',
  'out-of-service': 'listed',
};
