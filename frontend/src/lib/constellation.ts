/** A reading as figures in the sky of the unfolded cube: one figure a cycle, its stars lettered in order. */

import { centre, type Point } from './net';
import type { OrbitPlan } from './types';

export interface Star extends Point {
  readonly sticker: number;
  readonly letter: string;
  /** Which letter of the orbit's memo this is, from 0. */
  readonly order: number;
  readonly cycle: number;
  readonly why: string;
  /** Chosen by the solver: the cycle could have begun elsewhere. */
  readonly chosen: boolean;
  /** A sticker that the memo passes a second time (the closing letter): drawn beside, not over, its first star. */
  readonly again: boolean;
}

export interface Path {
  readonly d: string;
  /** From the cycle before to a star that was chosen. */
  readonly dashed: boolean;
  readonly cycle: number;
}

export interface Figure {
  readonly kind: string;
  readonly stars: readonly Star[];
  readonly paths: readonly Path[];
}

export interface Sky {
  readonly orbit: string;
  readonly buffer: Point & { readonly sticker: number };
  readonly figures: readonly Figure[];
}

/** A gently bent line that leaves and meets the stars at their rims. */
export function bend(from: Point, to: Point, rim: number): string {
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const length = Math.hypot(dx, dy);
  if (length <= 2 * rim) return '';
  const lift = Math.min(length * 0.14, 26);
  const middle = { x: (from.x + to.x) / 2 - (dy / length) * lift, y: (from.y + to.y) / 2 + (dx / length) * lift };
  const towards = (point: Point): Point => {
    const [mx, my] = [middle.x - point.x, middle.y - point.y];
    const reach = Math.hypot(mx, my);
    return { x: point.x + (mx / reach) * rim, y: point.y + (my / reach) * rim };
  };
  const [a, b] = [towards(from), towards(to)];
  const n = (value: number): string => value.toFixed(1);
  return `M${n(a.x)} ${n(a.y)}Q${n(middle.x)} ${n(middle.y)} ${n(b.x)} ${n(b.y)}`;
}

/** The figures of one orbit; `names` are the names of all stickers by number. */
export function sky(orbit: OrbitPlan, names: readonly string[], size: number, rim = 13): Sky {
  const bufferSticker = names.indexOf(orbit.buffer);
  const buffer = { sticker: bufferSticker, ...centre(size, bufferSticker) };
  const passed = new Set<number>();
  let order = 0;
  let last: Point = buffer;
  const figures = orbit.readings.map((cycle, number): Figure => {
    const stars: Star[] = [];
    const paths: Path[] = [];
    for (const target of cycle.targets) {
      const again = passed.has(target.sticker);
      passed.add(target.sticker);
      const middle = centre(size, target.sticker);
      const at = again ? { x: middle.x + 11, y: middle.y + 11 } : middle;
      const chosen = target.role === 'break';
      stars.push({ ...at, sticker: target.sticker, letter: target.letter, order: order++, cycle: number, why: target.why, chosen, again });
      const d = bend(last, at, again ? rim - 3 : rim);
      if (d) paths.push({ d, dashed: chosen, cycle: number });
      last = at;
    }
    return { kind: cycle.kind, stars, paths };
  });
  return { orbit: orbit.orbit, buffer, figures };
}

/** The points of a star with `spikes` spikes about the origin. */
export function starShape(spikes: number, outer: number, inner: number): string {
  return Array.from({ length: 2 * spikes }, (_, i) => {
    const radius = i % 2 ? inner : outer;
    const angle = (Math.PI * i) / spikes - Math.PI / 2;
    return `${(radius * Math.cos(angle)).toFixed(1)},${(radius * Math.sin(angle)).toFixed(1)}`;
  }).join(' ');
}

/** The letters of an orbit in pairs, no pair across two cycles. */
export function pairs<T>(letters: readonly T[]): T[][] {
  return Array.from({ length: Math.ceil(letters.length / 2) }, (_, i) => letters.slice(2 * i, 2 * i + 2));
}

/**
 * The `breaks` text that sends one break of an orbit elsewhere: what was chosen before it stays, what came after it is
 * left to the lowest letter, and the other orbits keep their breaks.
 */
export function breakElsewhere(orbits: readonly OrbitPlan[], orbit: string, cycle: number, letter: string): string {
  const parts = orbits.flatMap((reading) => {
    const broken = reading.readings.flatMap((c, i) => (c.kind === 'buffer' ? [] : [{ i, letter: c.targets[0]?.letter ?? '' }]));
    const letters =
      reading.orbit === orbit
        ? [...broken.filter(({ i }) => i < cycle).map((b) => b.letter), letter]
        : broken.map((b) => b.letter);
    return letters.length ? [`${reading.orbit}=${letters.join(' ')}`] : [];
  });
  return `choose:${parts.join(';')}`;
}
