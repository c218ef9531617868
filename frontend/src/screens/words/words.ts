/** Words for pairs, without a page: what is asked, the grid to walk about in, and what states are called. */

import type { Candidate, GridCell, GridOrbit, OwnWord, PairState } from '../../lib/types';

export const STATES: readonly { id: PairState; sign: string; meaning: string }[] = [
  { id: 'own', sign: '●', meaning: 'a word of your own' },
  { id: 'suggestion', sign: '·', meaning: 'a suggestion' },
  { id: 'weak', sign: '~', meaning: 'weak' },
  { id: 'clashing', sign: '≈', meaning: 'clashing with another' },
  { id: 'missing', sign: '–', meaning: 'missing' },
];
const SIGNS = new Map(STATES.map((state) => [state.id, state]));

export const signOf = (state: PairState): string => SIGNS.get(state)?.sign ?? '';

/** Whose letters and words, and in which language. */
export interface Whose {
  readonly method: string;
  readonly lettering: string | null;
  readonly language: string | null;
  readonly solver: string;
}

/** Which words may come: rude ones too, by which patterns, by a rule of one's own; null is all that suit. */
export interface Pick {
  readonly rude: boolean;
  readonly pattern: string | null;
  readonly rule: string | null;
}

/** The patterns of a list, one of them put in or taken out, in the order of all; null for none, which stands for all. */
export function toggled(list: string | null, name: string, all: readonly string[]): string | null {
  const chosen = new Set((list ?? '').split(',').filter(Boolean));
  if (!chosen.delete(name)) chosen.add(name);
  return all.filter((one) => chosen.has(one)).join(',') || null;
}

/** “1 word”, “12 words”. */
export const countOf = (count: number): string => (count === 1 ? '1 word' : `${count.toLocaleString('en')} words`);

/** A question in the address of a request; what is null or empty is left out. */
export function query(asked: Readonly<Record<string, string | number | boolean | null>>): string {
  const told = Object.entries(asked).filter(([, value]) => value !== null && value !== '' && value !== false);
  return new URLSearchParams(told.map(([name, value]) => [name, String(value)])).toString();
}

const together = (first: string, second: string): string => `${first}\n${second}`;

/** The cells of an orbit by their two letters. */
export function cellsOf(orbit: GridOrbit): ReadonlyMap<string, GridCell> {
  return new Map(orbit.pairs.map((cell) => [together(cell.letters[0] ?? '', cell.letters[1] ?? ''), cell]));
}

export const cellAt = (cells: ReadonlyMap<string, GridCell>, first: string, second: string): GridCell | null => cells.get(together(first, second)) ?? null;

/** Where a key leads on a square of so many rows and columns; null for a key that leads nowhere. */
export function stepTo(key: string, row: number, column: number, size: number, whole: boolean): { row: number; column: number } | null {
  const within = (at: number): number => Math.min(Math.max(at, 0), size - 1);
  switch (key) {
    case 'ArrowLeft':
      return { row, column: within(column - 1) };
    case 'ArrowRight':
      return { row, column: within(column + 1) };
    case 'ArrowUp':
      return { row: within(row - 1), column };
    case 'ArrowDown':
      return { row: within(row + 1), column };
    case 'Home':
      return { row: whole ? 0 : row, column: 0 };
    case 'End':
      return { row: whole ? size - 1 : row, column: size - 1 };
    default:
      return null;
  }
}

/** A cell in words. */
export function cellWords(cell: GridCell): string {
  const meaning = SIGNS.get(cell.state)?.meaning ?? cell.state;
  const like = cell.like.length ? ` (${cell.like.join(', ')})` : '';
  return `${cell.pair}: ${cell.word ?? 'no word'}, ${meaning}${like}${cell.in_place ? '; only from a piece turned in place' : ''}`;
}

/** Own words that have the text in their pair, their word or their note. */
export function matching(words: readonly OwnWord[], text: string): readonly OwnWord[] {
  const wanted = text.trim().toLowerCase();
  if (!wanted) return words;
  return words.filter(({ pair, word, note }) => pair.toLowerCase().startsWith(wanted) || word.toLowerCase().includes(wanted) || note.toLowerCase().includes(wanted));
}

/** A share in hundredths; nothing where there is none. */
export const hundredths = (share: number | null | undefined): string => (share === null || share === undefined ? '' : String(Math.round(100 * share)));

/** The marks that a score is made of, in the order of their weight, with their headings. */
export const MARKS: readonly { id: keyof NonNullable<Candidate['marks']>; label: string }[] = [
  { id: 'picturable', label: 'Picture' },
  { id: 'common', label: 'Common' },
  { id: 'kind', label: 'By kind' },
  { id: 'pattern', label: 'Way back' },
  { id: 'short', label: 'Short' },
];

/** Styles by orbit as the server takes them. */
export const stylesText = (styles: Readonly<Record<string, string>>): string =>
  Object.entries(styles)
    .filter(([, style]) => style)
    .map(([orbit, style]) => `${orbit}=${style}`)
    .join(';');
