/** What a marked memo looks like: letters with their faults, gaps where letters are missing, stickers to point at. */

import { align } from '../../lib/align';
import { stickerOf, type Symbols } from '../../lib/memo';

export interface Fault {
  at: number;
  letter: string;
  kind: string;
  expected: string[];
  say: string;
}

export interface MarkedOrbit {
  orbit: string;
  ok: boolean;
  letters: string[];
  faults: Fault[];
  corrected: string[];
}

export interface Marking {
  verdict: 'right' | 'wrong';
  orbits: MarkedOrbit[];
  parity_ok: boolean | null;
  say: string;
}

/** Faults of a whole memo: no single letter is to blame. */
const WHOLE: ReadonlySet<string> = new Set(['unlike', 'held-differently', 'other-orbit']);

const WORDS: Readonly<Record<string, string>> = {
  'other-sticker': 'other sticker',
  neighbour: 'neighbour',
  'wrong-letter': 'wrong letter',
  'left-out': 'left out',
  'not-closed': 'not closed',
  doubled: 'twice',
  'extra-letter': 'too many',
  exchanged: 'exchanged',
  'pairs-exchanged': 'pairs exchanged',
  'broke-into-solved': 'solved piece',
  'closed-early': 'closed early',
  'missed-flipped': 'flip missed',
  'missed-twisted': 'twist missed',
  'missed-cycle': 'cycle missed',
  'stopped-early': 'stopped early',
  'too-long': 'too long',
  unlike: 'another memo',
  'held-differently': 'another hold',
  'other-orbit': 'other orbit',
};

/** The kind of a fault in a word or two. */
export const kindWords = (kind: string): string => WORDS[kind] ?? kind.replaceAll('-', ' ');

/** One tile of the row: a written letter, or (letter empty) a gap before the letter `at`. */
export interface Tile {
  readonly letter: string;
  readonly at: number;
  /** The number of the fault among the orbit's faults; null if the letter is right. */
  readonly fault: number | null;
}

/** The letters as written, with gaps where faults say that something is missing. */
export function tiles(marked: MarkedOrbit): Tile[] {
  const row: Tile[] = [];
  for (let at = 0; at <= marked.letters.length; at++) {
    marked.faults.forEach((fault, number) => {
      if (fault.at === at && fault.letter === '' && !WHOLE.has(fault.kind)) row.push({ letter: '', at, fault: number });
    });
    if (at === marked.letters.length) break;
    const blamed = marked.faults.findIndex((fault) => fault.at === at && fault.letter !== '' && !WHOLE.has(fault.kind));
    row.push({ letter: marked.letters[at] ?? '', at, fault: blamed < 0 ? null : blamed });
  }
  return row;
}

/** The tiles in the pairs they were typed in; a gap joins the pair of the letter it stands before. */
export function tilePairs(row: readonly Tile[]): Tile[][] {
  const groups: Tile[][] = [];
  for (const tile of row) {
    const pair = Math.floor(tile.at / 2);
    (groups[pair] ??= []).push(tile);
  }
  return groups.filter(Boolean);
}

/** The corrected letters, those that were not written so marked as new. */
export function corrections(marked: MarkedOrbit): { letter: string; fresh: boolean }[] {
  return align(marked.letters, marked.corrected).flatMap(({ b, same }) => (b === null ? [] : [{ letter: b, fresh: !same }]));
}

/** The stickers that a fault is about: what was written and what would have been right. */
export function stickersOf(fault: Fault, symbols: Symbols): { written: number[]; right: number[] } {
  const found = (letters: readonly string[]): number[] =>
    letters.map((letter) => stickerOf(letter, symbols)).filter((sticker): sticker is number => sticker !== null);
  return { written: fault.letter && !WHOLE.has(fault.kind) ? found([fault.letter]) : [], right: found(fault.expected) };
}
