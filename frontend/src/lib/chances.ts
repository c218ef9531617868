/** Exact chances, as the server gives them (fractions such as `3/8`), said for people. */

export interface Table {
  mean: string;
  table: Record<string, string>;
}

/** Where one cube lies among all. */
export interface Place {
  easier: string;
  alike: string;
  harder: string;
  parity: boolean;
  /** Of a cube like it in everything that is counted. */
  chance: string;
  standings: Record<string, { value: number; fewer: string; equal: string; more: string }>;
}

export interface Odds {
  edge_letters: Table;
  corner_letters: Table;
  total_letters: Table;
  edge_breaks: Table;
  corner_breaks: Table;
  total_breaks: Table;
  flipped_edges: Table;
  twisted_corners: Table;
  solved_edges: Table;
  solved_corners: Table;
  parity: Table;
  chance: string | null;
  place: Place | null;
}

export function value(fraction: string): number {
  const [above = NaN, below = 1] = fraction.split('/').map(Number);
  return above / below;
}

/** The smallest share that is told in figures. */
const RARE = 0.001;

/** A share as a percentage; what is small but not nothing, or nearly all, is not rounded away. */
export function percent(share: number): string {
  if (share === 0 || share === 1) return `${share * 100}%`;
  if (share < RARE) return '<0.1%';
  if (share > 1 - RARE) return '>99.9%';
  return `${(share * 100).toFixed(1)}%`;
}

/** A chance, given as a fraction, as the number in `once in 12.4`. */
export function oneIn(chance: string): string {
  const number = 1 / value(chance);
  if (number < 100) return number.toFixed(1).replace(/\.0$/, '');
  // Whole numbers of any length, exactly.
  const [above = 0n, below = 1n] = chance.split('/').map(BigInt);
  return ((2n * below + above) / (2n * above)).toLocaleString('en');
}

export const mean = (table: Table): string => value(table.mean).toFixed(1);

/** The chance of `least` or more. */
export function atLeast(table: Table, least: number): number {
  return shares(table).reduce((sum, [number, share]) => (number >= least ? sum + share : sum), 0);
}

/** The chance of `low` to `high`. */
export const within = (table: Table, low: number, high: number): number => atLeast(table, low) - atLeast(table, high + 1);

function shares(table: Table): [number, number][] {
  return Object.entries(table.table)
    .map(([number, share]): [number, number] => [Number(number), value(share)])
    .sort(([a], [b]) => a - b);
}

/** The shortest run of numbers, from low to high, outside of which at most one cube in ten lies on either side. */
export function usual(table: Table): [number, number] {
  const all = shares(table);
  const from = (side: [number, number][]): number => {
    let sum = 0;
    for (const [number, share] of side) {
      sum += share;
      if (sum > 0.1) return number;
    }
    return side[0]?.[0] ?? 0;
  };
  return [from(all), from(all.toReversed())];
}

export interface Bar {
  readonly label: string;
  readonly share: number;
  /** Its height beside the highest, 0 to 1. */
  readonly part: number;
}

/** Bars of a table; the rarest at either end share one bar. */
export function bars(table: Table): Bar[] {
  let rows = shares(table).map(([number, share]) => ({ from: number, to: number, share }));
  for (const end of ['low', 'high'] as const) {
    const order = end === 'low' ? rows : rows.toReversed();
    let count = 0;
    let sum = 0;
    while (count < order.length - 1 && sum + order[count]!.share < RARE) sum += order[count++]!.share;
    if (count < 2) continue;
    const gathered = order.slice(0, count);
    const one = { from: Math.min(...gathered.map((row) => row.from)), to: Math.max(...gathered.map((row) => row.to)), share: sum };
    rows = end === 'low' ? [one, ...order.slice(count)] : [...order.slice(count).toReversed(), one];
  }
  const highest = Math.max(...rows.map(({ share }) => share));
  return rows.map(({ from, to, share }) => ({ label: from === to ? String(from) : `${from}–${to}`, share, part: share / highest }));
}
