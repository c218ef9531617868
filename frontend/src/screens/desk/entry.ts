/** The three ways a cube comes on the desk. */
export type Way = 'type' | 'deal' | 'paint';

/** Few letters and nothing turned in its place: a first cube. */
export const EASY: Readonly<Record<string, string>> = {
  edge_letters: '..10',
  corner_letters: '..6',
  edge_breaks: '..1',
  corner_breaks: '0',
  flipped: '0',
  twisted: '0',
};
