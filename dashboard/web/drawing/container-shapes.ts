import { raggedFront } from './ragged-front.ts';

export type ContainerKind = 'bag' | 'jar' | 'block';

/** Every container is drawn in a box this large, standing on its lower edge. */
export const glyphBox = { width: 64, height: 120 } as const;

export interface ContainerShape {
  /** What holds the grain. */
  body: string;
  /** The tied neck, the lid, the folded top. */
  top: string;
  /** Thin lines that make it what it is; only drawn large. */
  detail: string;
  /** Highest and lowest level of the grain. */
  grain: { top: number; bottom: number };
  left: number;
  right: number;
}

export const containerShapes: Record<ContainerKind, ContainerShape> = {
  bag: {
    body: 'M8 118 Q4 118 4 113 L4 47 Q4 42 7 39 L13 31 Q22 23 32 23 Q42 23 51 31 L57 39 Q60 42 60 47 L60 113 Q60 118 56 118 Z',
    top: 'M27.5 23 L25.5 15 L20 3 Q32 7.5 44 3 L38.5 15 L36.5 23 Z',
    detail: 'M26 16.5 H38 M27 25 Q24 31 17 35 M37 25 Q40 31 47 35',
    grain: { top: 25, bottom: 118 },
    left: 3,
    right: 61,
  },
  jar: {
    body: 'M13 118 Q7 118 7 112 L7 50 Q7 42 13 39 Q17 37 17 33 L47 33 Q47 37 51 39 Q57 42 57 50 L57 112 Q57 118 51 118 Z',
    top: 'M14 22 H50 Q52 22 52 24 V31 Q52 33 50 33 H14 Q12 33 12 31 V24 Q12 22 14 22 Z',
    detail: 'M14 48 V104',
    grain: { top: 40, bottom: 118 },
    left: 6,
    right: 58,
  },
  block: {
    body: 'M7 118 Q4 118 4 115 L4 51 Q4 48 7 48 L57 48 Q60 48 60 51 L60 115 Q60 118 57 118 Z',
    top: 'M5 48 L14 33 V24 H50 V33 L59 48 Z',
    detail: 'M4 83 H60',
    grain: { top: 48, bottom: 118 },
    left: 3,
    right: 61,
  },
};

/**
 * The mycelium in a container at a colonized `share` 0-1: from the bottom up to a ragged front.
 * `seed` (the bag's number) makes neighbours differ, always in the same way. Null while there is nothing to see.
 */
export function myceliumPath(kind: ContainerKind, share: number, seed: number): string | null {
  const { grain, left, right } = containerShapes[kind];
  const clear = Math.min(1, Math.max(0, share));
  if (clear < 0.005) return null;
  if (clear > 0.995) return `M${left} ${grain.bottom} V${grain.top - 6} H${right} V${grain.bottom} Z`;
  const level = grain.bottom - clear * (grain.bottom - grain.top);
  return `M${left} ${grain.bottom} L${raggedFront(left, right, level, seed)} L${right} ${grain.bottom} Z`;
}
