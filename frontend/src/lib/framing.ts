/** Where the camera stands so that the cube, its turning layers and the ghosts of its hidden faces all fit into the view. */

import { FACES, NORMALS, type Face, type Vector } from './cube';

/** Half the cube's edge, in the units of the drawing. */
export const HALF = 1.5;
/** Where the cube is looked at from if nothing else is said: every sticker of its ghosts can be seen from there. */
export const LOOK = { yaw: 0.72, pitch: 0.48 } as const;
/** How far behind its face a ghost hangs: at the sides, and above or below. */
const AWAY = { side: 2.05, upright: 2.6 };
/** How far a ghost at the side is pushed out from behind the cube, and at which share of a quarter turn so far. */
const PUSH = { most: 1.6, from: 0.55 };
/** The camera's angle from bottom to top, in degrees. */
export const ANGLE = 26;
/** This much of the view is used, so that nothing touches its rim. */
const MARGIN = 0.965;
/** Faces that look away from the camera, or so little towards it that a small step hides them. */
const GRAZING = 0.12;
const YAWS = 60;

export interface Frame {
  /** From the middle of the cube to the camera. */
  readonly distance: number;
  /** How far the camera and what it looks at are moved upwards on the screen. */
  readonly rise: number;
}

export interface Axes {
  /** From the cube to the camera, and what is right and up on the screen. */
  readonly to: Vector;
  readonly right: Vector;
  readonly up: Vector;
}

const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** The directions of a look from `yaw` round the upright axis and `pitch` from above, in radians. */
export function axes(yaw: number, pitch: number): Axes {
  const [s, c, sp, cp] = [Math.sin(yaw), Math.cos(yaw), Math.sin(pitch), Math.cos(pitch)];
  return { to: [s * cp, sp, c * cp], right: [c, 0, -s], up: [-s * sp, cp, -c * sp] };
}

/**
 * The middle of the ghost of a face, looked at from `yaw`: behind the face and, at the sides, pushed out towards where
 * the viewer stands, as a door is slid, since straight behind it the cube would hide most of it.
 */
export function ghostMiddle(face: Face, yaw: number): Vector {
  const normal = NORMALS[face];
  const [x, y, z] = normal.map((part) => part * (HALF + (normal[1] ? AWAY.upright : AWAY.side))) as [number, number, number];
  const push = (towards: number): number => PUSH.most * Math.min(Math.max(towards / PUSH.from, -1), 1);
  if (normal[0]) return [x, y, z + push(Math.cos(yaw))];
  if (normal[2]) return [x + push(Math.sin(yaw)), y, z];
  return [x, y, z];
}

/** The corners of that ghost. */
export function ghostCorners(face: Face, yaw: number): Vector[] {
  const middle = ghostMiddle(face, yaw);
  const along = NORMALS[face].findIndex((part) => part !== 0);
  return [-HALF, HALF].flatMap((a) =>
    [-HALF, HALF].map((b): Vector => {
      const rest = [a, b];
      const [x = 0, y = 0, z = 0] = middle.map((part, i) => (i === along ? part : part + (rest.pop() ?? 0)));
      return [x, y, z];
    }),
  );
}

/** The corners of the cube, and as far as the corners of a turning layer reach. */
const SOLID: readonly Vector[] = [0, 1, 2].flatMap((axis) =>
  [-1, 1].flatMap((end) =>
    Array.from({ length: 16 }, (_, i): Vector => {
      const angle = (Math.PI * i) / 8 + Math.PI / 16;
      const around = [Math.cos(angle), Math.sin(angle)].map((part) => part * HALF * Math.SQRT2);
      const [x = 0, y = 0, z = 0] = [0, 1, 2].map((i) => (i === axis ? end * HALF : (around.pop() ?? 0)));
      return [x, y, z];
    }),
  ),
);

const known = new Map<string, Frame>();

/**
 * The nearest camera for a look from `pitch` in a view `aspect` times as wide as high. It is the same for every yaw, so
 * that the cube keeps its size while it is turned round.
 */
export function frame(pitch: number, aspect: number, ghost: boolean): Frame {
  const key = `${pitch.toFixed(4)}|${aspect.toFixed(3)}|${ghost}`;
  const found = known.get(key);
  if (found) return found;
  const slope = Math.tan((ANGLE * Math.PI) / 360) * MARGIN;
  let [highest, lowest, widest] = [-Infinity, Infinity, 0];
  // A quarter turn of the whole brings everything to the place of its like.
  for (let i = 0; i < YAWS; i++) {
    const yaw = (Math.PI / 2 / YAWS) * i;
    const { to, right, up } = axes(yaw, pitch);
    const ghosts = ghost ? FACES.filter((face) => dot(NORMALS[face], to) < GRAZING) : [];
    for (const point of [...SOLID, ...ghosts.flatMap((face) => ghostCorners(face, yaw))]) {
      const [x, y, near] = [dot(point, right), dot(point, up), dot(point, to)];
      // On the screen a point stands at y / (distance - near), which has to stay between the slopes; so must x.
      highest = Math.max(highest, y + slope * near);
      lowest = Math.min(lowest, y - slope * near);
      widest = Math.max(widest, Math.abs(x) / (slope * aspect) + near);
    }
  }
  const made = { distance: Math.max((highest - lowest) / (2 * slope), widest), rise: (highest + lowest) / 2 };
  if (known.size > 500) known.clear();
  known.set(key, made);
  return made;
}
