/**
 * A cube of 2 to 7 layers by 3-D coordinates, with the same numbering as the Python side.
 *
 * Stickers are numbered face by face in the order U L F R B D, on each face row by row as it lies in the unfolded
 * cube. A permutation is a list of sources: after the turn, place i shows what was at place source[i].
 */

export type Vector = readonly [number, number, number];
export type Face = 'U' | 'L' | 'F' | 'R' | 'B' | 'D';

/** One turn; `outer` to `inner` are layers counted from the face, both 0 for slices and rotations. */
export interface Turn {
  readonly letter: string;
  readonly outer: number;
  readonly inner: number;
  /** Clockwise quarter turns: 1, 2, -1 or -2. */
  readonly amount: number;
}

export const FACES: readonly Face[] = ['U', 'L', 'F', 'R', 'B', 'D'];
export const NORMALS: Readonly<Record<Face, Vector>> = {
  U: [0, 1, 0],
  L: [-1, 0, 0],
  F: [0, 0, 1],
  R: [1, 0, 0],
  B: [0, 0, -1],
  D: [0, -1, 0],
};
/** Which face each slice and rotation turns like. */
const TURNS_LIKE: Readonly<Record<string, Face>> = { M: 'L', E: 'D', S: 'F', x: 'R', y: 'U', z: 'F' };
const MAX_TURNS = 20_000;

/** A place of a sticker: the middle of its little cube (doubled coordinates, cube's middle at 0), and its outward direction. */
export interface Place {
  readonly face: Face;
  readonly row: number;
  readonly column: number;
  readonly cubie: Vector;
  readonly normal: Vector;
}

/** `vector` after a clockwise quarter turn of the whole cube, seen from `face`. */
function rotate([x, y, z]: Vector, face: Face): Vector {
  switch (face) {
    case 'R':
      return [x, z, -y];
    case 'L':
      return [x, -z, y];
    case 'U':
      return [-z, y, x];
    case 'D':
      return [z, y, -x];
    case 'F':
      return [y, -x, z];
    case 'B':
      return [-y, x, z];
  }
}

function placeOf(size: number, face: Face, row: number, column: number): Place {
  const top = size - 1;
  const right = 2 * column - top;
  const down = 2 * row - top;
  const cubies: Record<Face, Vector> = {
    U: [right, top, down],
    D: [right, -top, -down],
    F: [right, -down, top],
    B: [-right, -down, -top],
    L: [-top, -down, right],
    R: [top, -down, -right],
  };
  return { face, row, column, cubie: cubies[face], normal: NORMALS[face] };
}

const placesBySize = new Map<number, readonly Place[]>();

/** Every sticker's place by number. */
export function places(size: number): readonly Place[] {
  let found = placesBySize.get(size);
  if (!found) {
    found = FACES.flatMap((face) =>
      Array.from({ length: size * size }, (_, i) => placeOf(size, face, Math.floor(i / size), i % size)),
    );
    placesBySize.set(size, found);
  }
  return found;
}

const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** The face a turn goes clockwise about, and the layers (counted from it) that it carries. */
export function layersOf(size: number, turn: Turn): { face: Face; outer: number; inner: number } {
  const like = TURNS_LIKE[turn.letter];
  if (like === undefined) return { face: turn.letter as Face, outer: turn.outer, inner: turn.inner };
  if ('xyz'.includes(turn.letter)) return { face: like, outer: 1, inner: size };
  return { face: like, outer: (size + 1) / 2, inner: (size + 1) / 2 };
}

/** Whether the little cube at `cubie` is carried by the turn. */
export function carries(size: number, turn: Turn, cubie: Vector): boolean {
  const { face, outer, inner } = layersOf(size, turn);
  const depth = (size - 1 - dot(cubie, NORMALS[face])) / 2 + 1;
  return outer <= depth && depth <= inner;
}

const permutations = new Map<string, readonly number[]>();

/** The source list of one turn on a cube of `size` layers. */
export function permutation(size: number, turn: Turn): readonly number[] {
  const key = `${size}:${turn.letter}:${turn.outer}:${turn.inner}:${turn.amount}`;
  const known = permutations.get(key);
  if (known) return known;
  const all = places(size);
  const where = new Map(all.map((place, i) => [`${place.cubie}|${place.normal}`, i]));
  const { face } = layersOf(size, turn);
  const quarters = ((turn.amount % 4) + 4) % 4;
  const source = all.map((_, i) => i);
  all.forEach((place, i) => {
    if (!carries(size, turn, place.cubie)) return;
    let { cubie, normal } = place;
    for (let n = 0; n < quarters; n++) {
      cubie = rotate(cubie, face);
      normal = rotate(normal, face);
    }
    const to = where.get(`${cubie}|${normal}`);
    if (to !== undefined) source[to] = i;
  });
  permutations.set(key, source);
  return source;
}

/** What the places show after the turns; the state may hold sticker numbers, colours or anything else. */
export function apply<T>(state: readonly T[], turns: Iterable<Turn>, size: number): T[] {
  let now = state.slice();
  for (const turn of turns) now = permutation(size, turn).map((from) => now[from] as T);
  return now;
}

/** The solved cube: every sticker at home. */
export function solved(size: number): number[] {
  return Array.from({ length: 6 * size * size }, (_, i) => i);
}

/** The turns that take `turns` back. */
export function invert(turns: readonly Turn[]): Turn[] {
  return turns.toReversed().map((turn) => ({ ...turn, amount: -turn.amount }));
}

const SUFFIX: Readonly<Record<number, string>> = { 1: '', 2: '2', [-1]: "'", [-2]: "2'" };

/** A turn as the notation writes it. */
export function writeTurn({ letter, outer, inner, amount }: Turn): string {
  const suffix = SUFFIX[amount] ?? '';
  if (inner <= 1) return letter + suffix;
  if (outer === inner) return `${inner}${letter}${suffix}`;
  return (inner === 2 ? `${letter}w` : `${inner}${letter}w`) + suffix;
}

/** Raised for text that is no sequence; the server says it better, so this is seen only where it is not asked. */
export class NotationError extends Error {}

const APOSTROPHE = /['’‘ʼ′`´＇]/;

/** Text to single turns, groups `(R U)2`, commutators `[A, B]` and conjugates `[A: B]` multiplied out. */
export function parseTurns(text: string, size: number): Turn[] {
  let at = 0;
  const fail = (): never => {
    throw new NotationError(`“${text.slice(at, at + 12)}” at column ${at + 1} is no turn`);
  };
  const take = (pattern: RegExp): string => {
    const found = new RegExp(pattern.source, 'y');
    found.lastIndex = at;
    const match = found.exec(text)?.[0] ?? '';
    at += match.length;
    return match;
  };
  const repeat = (turns: Turn[]): Turn[] => {
    const times = Number(take(/\d{0,5}/) || 1);
    const once = take(APOSTROPHE) ? invert(turns) : turns;
    if (once.length * times > MAX_TURNS) fail();
    return Array.from({ length: times }, () => once).flat();
  };
  const turn = (): Turn => {
    const number = take(/\d*/);
    let letter = take(/[A-Za-z]/);
    let wide = false;
    if (/[ulfrbd]/.test(letter)) {
      letter = letter.toUpperCase();
      wide = true;
    } else if (/[ULFRBD]/.test(letter)) wide = take(/w/) !== '';
    else if (!/[MESxyz]/.test(letter) || number) fail();
    const before = take(APOSTROPHE) !== '';
    const digits = take(/[123]/);
    const behind = take(APOSTROPHE) !== '';
    if (before && behind) fail();
    const back = before || behind;
    const value = { '': 1, '1': 1, '2': 2, '3': -1 }[digits] ?? 1;
    const amount = back ? -value : value;
    if (/[MESxyz]/.test(letter)) {
      if (size % 2 === 0 && /[MES]/.test(letter)) fail();
      return { letter, outer: 0, inner: 0, amount };
    }
    const inner = number ? Number(number) : wide ? 2 : 1;
    if (number && (inner < 2 || (!wide && size <= 3))) fail();
    if (inner >= size) fail();
    return { letter, outer: wide ? 1 : inner, inner, amount };
  };
  const sequence = (stops: string): Turn[] => {
    const turns: Turn[] = [];
    for (;;) {
      take(/\s*/);
      const char = text[at] ?? '';
      if (!char || stops.includes(char)) return turns;
      if (char === '(') {
        at++;
        const body = sequence(')');
        if (!take(/\)/)) fail();
        turns.push(...repeat(body));
      } else if (char === '[') {
        at++;
        const first = sequence(',:]');
        const separator = take(/[,:]/);
        const second = sequence(']');
        if (!separator || !take(/\]/)) fail();
        const whole =
          separator === ',' ? [...first, ...second, ...invert(first), ...invert(second)] : [...first, ...second, ...invert(first)];
        turns.push(...repeat(whole));
      } else turns.push(turn());
      if (turns.length > MAX_TURNS) fail();
    }
  };
  const turns = sequence('');
  if (at < text.length) fail();
  return turns;
}
