/** Where the stickers lie in the unfolded cube, in the user units of the drawing, and the net as text. */

export const PITCH = 40;
// Room for the letters of the faces between them.
const GAP = 18;
const MARGIN = 18;
/** Column and row of the faces U, L, F, R, B, D, counted in faces. */
const BLOCKS: readonly (readonly [number, number])[] = [
  [1, 0],
  [0, 1],
  [1, 1],
  [2, 1],
  [3, 1],
  [1, 2],
];

export interface Point {
  readonly x: number;
  readonly y: number;
}

/** Width and height of the drawing of a cube of `size` layers. */
export function extent(size: number): { width: number; height: number } {
  const face = size * PITCH;
  return { width: 2 * MARGIN + 4 * face + 3 * GAP, height: 2 * MARGIN + 3 * face + 2 * GAP };
}

/** The top-left corner of a face (0 to 5 for U, L, F, R, B, D). */
export function faceCorner(size: number, face: number): Point {
  const [column = 0, row = 0] = BLOCKS[face] ?? [];
  return { x: MARGIN + column * (size * PITCH + GAP), y: MARGIN + row * (size * PITCH + GAP) };
}

/** The middle of a sticker. */
export function centre(size: number, sticker: number): Point {
  const area = size * size;
  const corner = faceCorner(size, Math.floor(sticker / area));
  const within = sticker % area;
  return {
    x: corner.x + ((within % size) + 0.5) * PITCH,
    y: corner.y + (Math.floor(within / size) + 0.5) * PITCH,
  };
}

/** The nearest sticker in a direction, for the arrow keys; the sticker itself where there is none. */
export function neighbour(size: number, sticker: number, dx: number, dy: number): number {
  const from = centre(size, sticker);
  let best = sticker;
  let least = Infinity;
  for (let other = 0; other < 6 * size * size; other++) {
    const to = centre(size, other);
    const along = (to.x - from.x) * dx + (to.y - from.y) * dy;
    const aside = Math.abs((to.x - from.x) * dy) + Math.abs((to.y - from.y) * dx);
    if (along > 1 && along + 4 * aside < least) {
      least = along + 4 * aside;
      best = other;
    }
  }
  return best;
}

/** The colours of a net text in the order U, L F R B row by row, D, as the server reads it. */
export function writeNet(colours: readonly string[], size: number): string {
  const rows = (face: number): string[] =>
    Array.from({ length: size }, (_, row) => {
      const from = face * size * size + row * size;
      return colours.slice(from, from + size).join('');
    });
  const band = [1, 2, 3, 4].map(rows);
  const middle = Array.from({ length: size }, (_, row) => band.map((face) => face[row]).join(''));
  return [...rows(0), ...middle, ...rows(5)].join('');
}

/** The stickers' colours from a net text; null unless it has as many symbols as a cube of `size` layers. */
export function parseNet(text: string, size: number): string[] | null {
  const symbols = [...text.toUpperCase()].filter((char) => /[\p{L}\p{N}\p{So}]/u.test(char));
  if (symbols.length !== 6 * size * size) return null;
  const area = size * size;
  const colours = new Array<string>(6 * area);
  symbols.forEach((symbol, i) => {
    let place: number;
    if (i < area) place = i;
    else if (i < 5 * area) {
      const [row, along] = [Math.floor((i - area) / (4 * size)), (i - area) % (4 * size)];
      place = (1 + Math.floor(along / size)) * area + row * size + (along % size);
    } else place = i;
    colours[place] = symbol;
  });
  return colours;
}
