import type { BagMark } from '../../../shared/forecasts.ts';
import { type ContainerKind, containerShapes, myceliumPath } from './container-shapes.ts';
import { Mark } from './mark.tsx';

interface Props {
  kind: ContainerKind;
  share: number;
  /** The bag's number. */
  seed: number;
  mark: BagMark | null;
  /** Prefix of the clip paths' ids in this drawing. */
  clips: string;
  detailed?: boolean;
}

/** One container as one sees it through the film: grain, mycelium from the bottom up, and its mark. */
export function Container({ kind, share, seed, mark, clips, detailed = false }: Props) {
  const shape = containerShapes[kind];
  const mycelium = myceliumPath(kind, share, seed);
  return (
    <g class={`container${detailed ? ' container-large' : ''}${mark === 'ran-hot' ? ' container-hot' : ''}`}>
      <path class="grain" d={shape.body} />
      {mycelium === null ? null : <path class="mycelium" d={mycelium} clip-path={`url(#${clips}-${kind})`} />}
      <path class="outline" d={shape.body} />
      <path class="top" d={shape.top} />
      {detailed ? <path class="detail" d={shape.detail} /> : null}
      {mark === null ? null : (
        <g transform={detailed ? 'translate(20 74)' : 'translate(12.8 62) scale(1.6)'}>
          <Mark mark={mark} />
        </g>
      )}
    </g>
  );
}

/** The clip paths that containers of one drawing share. */
export function ContainerClips({ clips }: { clips: string }) {
  return (
    <defs>
      {Object.entries(containerShapes).map(([kind, { body }]) => (
        <clipPath id={`${clips}-${kind}`} key={kind}>
          <path d={body} />
        </clipPath>
      ))}
    </defs>
  );
}
