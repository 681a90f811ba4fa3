import type { BagMark } from '../../../shared/forecasts.ts';

/** One mark in a 24 x 24 box: dark with white in both themes; only the heat mark is red. */
export function Mark({ mark }: { mark: BagMark }) {
  return (
    <g class={mark === 'ran-hot' ? 'mark mark-hot' : 'mark'}>
      {shapes[mark].ground}
      {shapes[mark].figure}
    </g>
  );
}

const shapes: Record<BagMark, { ground: preact.JSX.Element; figure: preact.JSX.Element }> = {
  // Circling arrows.
  shake: {
    ground: <circle class="mark-ground" cx="12" cy="12" r="11" />,
    figure: (
      <g class="mark-line">
        <path d="M6 11.2 A6.3 6.3 0 0 1 17.2 8.6" />
        <path d="M18 12.8 A6.3 6.3 0 0 1 6.8 15.4" />
        <path class="mark-fill" d="M18.9 5.6 L18.6 10.6 L14.2 8.4 Z" />
        <path class="mark-fill" d="M5.1 18.4 L5.4 13.4 L9.8 15.6 Z" />
      </g>
    ),
  },
  // A tick in a square.
  ready: {
    ground: <rect class="mark-ground" x="1.5" y="1.5" width="21" height="21" rx="2.5" />,
    figure: <path class="mark-line" d="M6.5 12.5 L10.5 16.5 L17.5 7.5" />,
  },
  // An hourglass.
  'too-old': {
    ground: <path class="mark-ground" d="M3 1 H21 V5 L14.8 12 L21 19 V23 H3 V19 L9.2 12 L3 5 Z" />,
    figure: <path class="mark-fill" d="M8 4.5 H16 L12 9.2 Z M12 14.6 L17 20 H7 Z" />,
  },
  // A triangle.
  'ran-hot': {
    ground: <path class="mark-ground" d="M12 1.5 L23 21.5 Q23.2 22.5 22 22.5 H2 Q0.8 22.5 1 21.5 Z" />,
    figure: <path class="mark-line" d="M12 9 V15 M12 18.3 V18.8" />,
  },
  // An eye.
  look: {
    ground: <path class="mark-ground" d="M0.5 12 Q12 -2 23.5 12 Q12 26 0.5 12 Z" />,
    figure: (
      <g>
        <circle class="mark-fill" cx="12" cy="12" r="4.8" />
        <circle class="mark-ground" cx="12" cy="12" r="2.1" />
      </g>
    ),
  },
};

/** A mark on its own, to stand beside its word. */
export function MarkIcon({ mark }: { mark: BagMark }) {
  return (
    <svg class="mark-icon" viewBox="-1 -1 26 26" aria-hidden="true">
      <Mark mark={mark} />
    </svg>
  );
}
