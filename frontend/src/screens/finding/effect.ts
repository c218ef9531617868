/** A wanted effect as text (`UF UR DB; UFR UBL`) and as cycles of places: read, picked sticker by sticker, drawn. */

import { NAMES, orbitOf, pieceOf, placeNamed } from '../../lib/stickers';

export interface Effect {
  /** The cycles by places, without what could not be read. */
  readonly cycles: readonly (readonly number[])[];
  /** Whether the last cycle is still growing, that is, no `;` stands behind it. */
  readonly open: boolean;
  /** What is wrong with the text, in one sentence; empty if nothing is. */
  readonly trouble: string;
}

/** One sticker's way; the other stickers of its piece follow it on thinner lines. */
export interface Arrow {
  readonly from: number;
  readonly to: number;
  readonly leads: boolean;
}

export function readEffect(text: string): Effect {
  let trouble = '';
  const parts = text.split(';');
  const open = (parts.at(-1) ?? '').trim() !== '';
  const cycles = parts
    .map((part) =>
      part
        .replace(/[,>→]/g, ' ')
        .split(/\s+/)
        .filter(Boolean)
        .flatMap((name) => {
          const place = placeNamed(name);
          if (place !== null && orbitOf(place)) return [place];
          trouble ||= place === null
            ? `“${name.slice(0, 12)}” is no sticker; name its own face first, then the others of its piece, as in UF or LUB.`
            : `${name} is a centre, and centres stay where they are.`;
          return [];
        }),
    )
    .filter((cycle) => cycle.length);
  const mixed = cycles.find((cycle) => new Set(cycle.map(orbitOf)).size > 1);
  if (mixed) trouble ||= `${writeCycle(mixed)} mixes edges and corners; a cycle is of one or the other.`;
  return { cycles, open, trouble };
}

const writeCycle = (cycle: readonly number[]): string => cycle.map((place) => NAMES[place]).join(' ');

/** The cycles as text; a `;` behind the last one says that it is closed. */
export function writeEffect(cycles: readonly (readonly number[])[], open: boolean): string {
  const text = cycles.map(writeCycle).join('; ');
  return open || !text ? text : `${text};`;
}

/**
 * The effect after a sticker was picked: the growing cycle takes it up, its first sticker closes it, its last one is
 * let go again. A centre, or a sticker of the other kind of piece than the growing cycle's, closes nothing and changes
 * nothing; with no cycle growing a new one begins.
 */
export function pick(text: string, place: number): string {
  const { cycles, open } = readEffect(text);
  if (!orbitOf(place)) return text;
  if (!open) return writeEffect([...cycles, [place]], true);
  const growing = cycles.at(-1) ?? [];
  const done = cycles.slice(0, -1);
  if (growing.at(-1) === place) {
    const rest = growing.slice(0, -1);
    return rest.length ? writeEffect([...done, rest], true) : writeEffect(done, false);
  }
  if (growing[0] === place) return writeEffect(cycles, false);
  if (growing.includes(place) || orbitOf(growing[0] ?? -1) !== orbitOf(place)) return text;
  return writeEffect([...done, [...growing, place]], true);
}

/** The effect without the sticker picked last. */
export function unpick(text: string): string {
  const { cycles } = readEffect(text);
  const rest = (cycles.at(-1) ?? []).slice(0, -1);
  const done = cycles.slice(0, -1);
  return rest.length ? writeEffect([...done, rest], true) : writeEffect(done, false);
}

/** The effect with its growing cycle closed. */
export const close = (text: string): string => writeEffect(readEffect(text).cycles, false);

/** The arrows of cycles: each sticker to the next, the last to the first, and the rest of its piece along with it. */
export function arrowsOf(cycles: readonly (readonly number[])[]): Arrow[] {
  const drawn = new Set<string>();
  return cycles.flatMap((cycle) =>
    cycle.flatMap((from, at) => {
      const to = cycle[(at + 1) % cycle.length]!;
      const [here, there] = [pieceOf(from), pieceOf(to)];
      return here.flatMap((sticker, i) => {
        const key = `${sticker}-${there[i]}`;
        if (drawn.has(key) || there[i] === undefined || sticker === there[i]) return [];
        drawn.add(key);
        return [{ from: sticker, to: there[i], leads: i === 0 }];
      });
    }),
  );
}

/** The arrows of a permutation by sources: one sticker of each piece leads, the one on the face named first. */
export function arrowsOfPermutation(sources: readonly number[]): Arrow[] {
  return sources.flatMap((from, to) => {
    if (from === to || !orbitOf(to)) return [];
    const name = NAMES[from] ?? '';
    const leads = pieceOf(from).every((other) => other === from || rank(NAMES[other]) > rank(name));
    return [{ from, to, leads }];
  });
}

const rank = (name: string | undefined): number => 'UDFBLR'.indexOf(name?.[0] ?? '');
