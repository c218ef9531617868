/** Names, pieces and orbits of the stickers of a 3x3x3, computed from where they lie, as nightfold.cube.geometry does. */

import { NORMALS, places, type Face, type Vector } from './cube';

export type OrbitName = 'edges' | 'corners';

/** The order in which the trade names the faces of a piece: up or down, front or back, left or right. */
const NAMING: readonly Face[] = ['U', 'D', 'F', 'B', 'L', 'R'];
const SIZE = 3;

const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

function cross(a: Vector, b: Vector): Vector {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

/** The name of every place: its own face, then the other faces of its piece. */
export const NAMES: readonly string[] = places(SIZE).map(
  ({ face, cubie }) => face + NAMING.filter((other) => other !== face && dot(cubie, NORMALS[other]) > 0).join(''),
);

const sorted = (name: string): string => name.slice(0, 1) + [...name.slice(1)].sort().join('');
const BY_NAME: ReadonlyMap<string, number> = new Map(NAMES.map((name, place) => [sorted(name), place]));

/** The place called `name`, the letters behind the first in any order; null if there is none. */
export function placeNamed(name: string): number | null {
  return BY_NAME.get(sorted(name.trim().toUpperCase())) ?? null;
}

/** Edges or corners; null for centres. */
export function orbitOf(place: number): OrbitName | null {
  return [null, null, 'edges', 'corners'][NAMES[place]?.length ?? 0] as OrbitName | null;
}

/** The places of the piece that `place` is on, clockwise round the piece beginning with `place` itself. */
export function pieceOf(place: number): readonly number[] {
  return PIECES[place] ?? [];
}

const PIECES: readonly (readonly number[])[] = places(SIZE).map(({ cubie, normal }, place) => {
  const others = places(SIZE).flatMap((other, number) => (number !== place && other.cubie.join() === cubie.join() ? [number] : []));
  const [first, second] = others;
  if (first === undefined || second === undefined) return [place, ...others];
  // Outward normals that follow one another clockwise, seen from outside, form a left-handed triple.
  const way = dot(cross(normal, places(SIZE)[first]!.normal), places(SIZE)[second]!.normal);
  return way < 0 ? [place, first, second] : [place, second, first];
});

/** The stickers of an orbit on one face, clockwise from the face's top-left corner as it lies unfolded. */
export function clockwise(orbit: OrbitName, face: Face): number[] {
  const angle = (place: number): number => {
    const { row, column } = places(SIZE)[place]!;
    return (Math.atan2(column - 1, 1 - row) + Math.PI / 4 + 2 * Math.PI + 1e-9) % (2 * Math.PI);
  };
  return NAMES.flatMap((_, place) => (places(SIZE)[place]!.face === face && orbitOf(place) === orbit ? [place] : [])).sort((a, b) => angle(a) - angle(b));
}
