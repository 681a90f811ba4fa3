import { inRange } from '../stats/range.ts';
import { findRoot } from '../stats/root.ts';
import { besselJ01 } from './bessel.ts';

/** Shapes in which heat flows one way only; length scale: half thickness, radius, radius. */
export type Form = 'slab' | 'cylinder' | 'sphere';

/** One term of the series: the eigenvalue and its coefficient at the centre. */
export interface Term {
  zeta: number;
  c: number;
}

interface FormMath {
  /** Continuous, and zero exactly where the transcendental equation holds. */
  equation(zeta: number, biot: number): number;
  /** Interval that holds the n-th root (n from 1) for every Biot number. */
  bracket(n: number): [number, number];
  coefficient(zeta: number): number;
  /** Shape of a term at x = distance from the centre / length scale; 1 at the centre. */
  profile(zeta: number, x: number): number;
  /** Mean of `profile` over the volume. */
  mean(zeta: number): number;
}

/** One root of each cylinder and sphere lies between whole multiples of pi; those of a slab in the first half. */
const between = (n: number, width: number): [number, number] => [
  (n - 1) * Math.PI,
  (n - 1 + width) * Math.PI,
];

const forms: Record<Form, FormMath> = {
  // zeta tan zeta = Bi
  slab: {
    equation: (z, biot) => z * Math.sin(z) - biot * Math.cos(z),
    bracket: (n) => between(n, 0.5),
    coefficient: (z) => (4 * Math.sin(z)) / (2 * z + Math.sin(2 * z)),
    profile: (z, x) => Math.cos(z * x),
    mean: (z) => Math.sin(z) / z,
  },
  // zeta J1(zeta) / J0(zeta) = Bi
  cylinder: {
    equation: (z, biot) => {
      const { j0, j1 } = besselJ01(z);
      return z * j1 - biot * j0;
    },
    bracket: (n) => between(n, 1),
    coefficient: (z) => {
      const { j0, j1 } = besselJ01(z);
      return (2 * j1) / (z * (j0 * j0 + j1 * j1));
    },
    profile: (z, x) => besselJ01(z * x).j0,
    mean: (z) => (2 * besselJ01(z).j1) / z,
  },
  // 1 - zeta cot zeta = Bi
  sphere: {
    equation: (z, biot) => (1 - biot) * Math.sin(z) - z * Math.cos(z),
    // Zero itself also meets the equation, and is no root.
    bracket: (n) => (n === 1 ? [1e-9, Math.PI] : between(n, 1)),
    coefficient: (z) => (4 * (Math.sin(z) - z * Math.cos(z))) / (2 * z - Math.sin(2 * z)),
    profile: (z, x) => (z * x < 1e-9 ? 1 : Math.sin(z * x) / (z * x)),
    mean: (z) => (3 * (Math.sin(z) - z * Math.cos(z))) / z ** 3,
  },
};

/** Biot numbers that the roots are solved for. */
const biotRange = { low: 1e-5, high: 1e5 } as const;

/**
 * First `count` terms of the series for a body that starts even and meets air of another temperature:
 * theta = sum of c * exp(-zeta^2 Fo) * profile. Source: Incropera, Fundamentals of Heat and Mass
 * Transfer, transient conduction with spatial effects.
 * @throws AppError 'out-of-range' for a Biot number outside 1e-5 to 1e5.
 */
export function seriesTerms(form: Form, biot: number, count: number): Term[] {
  inRange('Biot number', biot, biotRange.low, biotRange.high);
  const { equation, bracket, coefficient } = forms[form];
  return Array.from({ length: count }, (_, index) => {
    const [low, high] = bracket(index + 1);
    const zeta = findRoot((z) => equation(z, biot), low, high);
    return { zeta, c: coefficient(zeta) };
  });
}

/** A term with its share in the mean over the volume and on the surface; at the centre it is `c` itself. */
export interface ShapedTerm extends Term {
  mean: number;
  surface: number;
}

/** As `seriesTerms`, with what each term comes to in the mean and on the surface. */
export function shapedTerms(form: Form, biot: number, count: number): ShapedTerm[] {
  const { profile, mean } = forms[form];
  return seriesTerms(form, biot, count).map(({ zeta, c }) => ({
    zeta,
    c,
    mean: c * mean(zeta),
    surface: c * profile(zeta, 1),
  }));
}

/** First root and its coefficient: good alone from Fo 0.2 on (to about 2 % of the step). */
export function oneTerm(form: Form, biot: number): { zeta1: number; c1: number } {
  const first = seriesTerms(form, biot, 1)[0]!;
  return { zeta1: first.zeta, c1: first.c };
}

/** Share of the first difference that is left, 1 at the start and 0 at the end. */
export interface Transient {
  centre(fourier: number): number;
  /** x = distance from the centre / length scale, 0 to 1. */
  at(x: number, fourier: number): number;
  surface(fourier: number): number;
  /** Mean over the volume. */
  mean(fourier: number): number;
}

/** Until here the centre has not felt the step, to less than a part in a million for any shape. */
const untouchedFourier = 0.015;

/**
 * Series solution in one direction. With `count` terms it is good from about Fo = 4 / count^2 on, at the
 * centre at any time; before that the sum is cut off, and the answer kept in [0, 1].
 */
export function transient(form: Form, biot: number, count = 20): Transient {
  const terms = seriesTerms(form, biot, count);
  const { profile, mean } = forms[form];
  const means = terms.map((term) => mean(term.zeta));
  const surfaces = terms.map((term) => profile(term.zeta, 1));

  const sum = (fourier: number, weight: (index: number) => number): number => {
    if (fourier <= 0) return 1;
    let total = 0;
    for (let index = 0; index < terms.length; index++) {
      const { zeta, c } = terms[index]!;
      total += c * Math.exp(-zeta * zeta * fourier) * weight(index);
    }
    return Math.min(1, Math.max(0, total));
  };
  return {
    centre: (fourier) => (fourier < untouchedFourier ? 1 : sum(fourier, () => 1)),
    at: (x, fourier) => sum(fourier, (index) => profile(terms[index]!.zeta, x)),
    surface: (fourier) => sum(fourier, (index) => surfaces[index]!),
    mean: (fourier) => sum(fourier, (index) => means[index]!),
  };
}
