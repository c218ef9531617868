import { describe, expect, it } from 'vitest';
import { FACES, NORMALS, places, type Vector } from '../src/lib/cube';
import { ANGLE, axes, frame, ghostCorners, ghostMiddle, HALF, LOOK } from '../src/lib/framing';

const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const PITCHES = [-1.35, -0.9, -0.56, -0.2, -0.05, 0, 0.05, 0.2, 0.4, 0.56, 0.9, 1.35];
const ASPECTS = [0.6, 0.8, 1, 1.25, 1.7, 2.4];
/** Not those that the frame itself was measured at. */
const AROUND = Array.from({ length: 50 }, (_, i) => (2 * Math.PI * i) / 50 + 0.013);

/** Where points stand in the view: -1 to 1 from left to right and from bottom to top. */
function seen(points: readonly Vector[], yaw: number, pitch: number, aspect: number, ghost: boolean): { x: number[]; y: number[] } {
  const { distance, rise } = frame(pitch, aspect, ghost);
  const { to, right, up } = axes(yaw, pitch);
  const slope = Math.tan((ANGLE * Math.PI) / 360);
  const far = points.map((point) => slope * (distance - dot(point, to)));
  return {
    x: points.map((point, i) => dot(point, right) / ((far[i] ?? 0) * aspect)),
    y: points.map((point, i) => (dot(point, up) - rise) / (far[i] ?? 0)),
  };
}

/** The corners of every ghost that is shown from there: those of faces that the eye is not in front of. */
function shown(yaw: number, pitch: number, aspect: number): Vector[] {
  const { distance, rise } = frame(pitch, aspect, true);
  const { to, up } = axes(yaw, pitch);
  const eye: Vector = [to[0] * distance + up[0] * rise, to[1] * distance + up[1] * rise, to[2] * distance + up[2] * rise];
  return FACES.flatMap((face) => (dot(NORMALS[face], eye) < HALF ? ghostCorners(face, yaw) : []));
}

const cube = [-HALF, HALF].flatMap((x) => [-HALF, HALF].flatMap((y) => [-HALF, HALF].map((z): Vector => [x, y, z])));

describe('the frame of the cube', () => {
  it('holds the cube and every ghost from wherever it is looked at, in wide views and in narrow ones', () => {
    for (const aspect of ASPECTS)
      for (const pitch of PITCHES)
        for (const yaw of AROUND) {
          const ghosts = shown(yaw, pitch, aspect);
          expect(ghosts.length).toBeGreaterThanOrEqual(12);
          const { x, y } = seen([...cube, ...ghosts], yaw, pitch, aspect, true);
          expect(Math.max(...x.map(Math.abs), ...y.map(Math.abs))).toBeLessThan(1);
        }
  });

  it('comes as near as it may: something is close to a rim, and without ghosts the cube is larger', () => {
    for (const aspect of ASPECTS) {
      for (const ghost of [true, false]) {
        const rims = AROUND.map((yaw) => {
          const { x, y } = seen([...cube, ...(ghost ? shown(yaw, 0.56, aspect) : [])], yaw, 0.56, aspect, ghost);
          return Math.max(...x.map(Math.abs), ...y.map(Math.abs));
        });
        expect(Math.max(...rims)).toBeGreaterThan(ghost ? 0.9 : 0.75);
      }
      expect(frame(0.56, aspect, false).distance).toBeLessThan(frame(0.56, aspect, true).distance);
    }
  });

  it('keeps turning layers inside too', () => {
    const reach = HALF * Math.SQRT2;
    for (const aspect of ASPECTS)
      for (const pitch of PITCHES)
        for (const angle of AROUND) {
          const [a, b] = [reach * Math.cos(angle), reach * Math.sin(angle)];
          const swept = [-HALF, HALF].flatMap((c): Vector[] => [[a, b, c], [a, c, b], [c, a, b]]);
          const { x, y } = seen(swept, angle * 3, pitch, aspect, false);
          expect(Math.max(...x.map(Math.abs), ...y.map(Math.abs))).toBeLessThan(1);
        }
  });
});

describe('a ghost', () => {
  it('is as large as its face, turned like it, and hangs behind it', () => {
    for (const yaw of AROUND)
      for (const face of FACES) {
        const corners = ghostCorners(face, yaw);
        const middle = ghostMiddle(face, yaw);
        expect(new Set(corners.map(String)).size).toBe(4);
        for (const corner of corners) {
          expect(dot(corner, NORMALS[face])).toBeCloseTo(dot(middle, NORMALS[face]));
          expect(Math.hypot(...corner.map((part, i) => part - (middle[i] ?? 0)))).toBeCloseTo(HALF * Math.SQRT2);
        }
        expect(dot(middle, NORMALS[face])).toBeGreaterThan(HALF + 1);
      }
  });

  it('shows every sticker where the cube is usually looked at from', () => {
    const { yaw, pitch } = LOOK;
    for (const aspect of ASPECTS) {
      const on = (points: readonly Vector[]): [number, number][] => {
        const { x, y } = seen(points, yaw, pitch, aspect, true);
        return points.map((_, i) => [(x[i] ?? 0) * aspect, y[i] ?? 0]);
      };
      const { to } = axes(yaw, pitch);
      const hidden = FACES.filter((face) => dot(NORMALS[face], to) < 0);
      expect(hidden.toSorted()).toEqual(['B', 'D', 'L']);
      const outline = hull(on(cube));
      for (const face of hidden)
        for (const { cubie } of places(3).filter((place) => place.face === face)) {
          const middle = ghostMiddle(face, yaw);
          const across = [0, 1, 2].filter((i) => NORMALS[face][i] === 0);
          // The sticker's middle and corners, the latter a little inwards.
          const points = [[0, 0], [-0.35, -0.35], [-0.35, 0.35], [0.35, -0.35], [0.35, 0.35]].map((offset) => {
            const rest = [...offset];
            return [0, 1, 2].map((i) => (middle[i] ?? 0) + (across.includes(i) ? (cubie[i] ?? 0) / 2 + (rest.pop() ?? 0) : 0)) as unknown as Vector;
          });
          for (const point of on(points)) expect(inside(outline, point)).toBe(false);
        }
    }
  });
});

type Point = [number, number];

/** The corners of the outline of points, anticlockwise. */
function hull(points: Point[]): Point[] {
  const sorted = points.toSorted((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (ordered: Point[]): Point[] => {
    const found: Point[] = [];
    for (const point of ordered) {
      while (found.length > 1 && turn(found.at(-2)!, found.at(-1)!, point) <= 0) found.pop();
      found.push(point);
    }
    return found.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.toReversed())];
}

const turn = (a: Point, b: Point, c: Point): number => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
const inside = (outline: Point[], point: Point): boolean =>
  outline.every((corner, i) => turn(corner, outline[(i + 1) % outline.length]!, point) > 0);
