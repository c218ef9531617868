/** Two sequences laid side by side, so that what is alike stands beside each other. */

/** One column; null where one of the two has nothing. */
export interface Column<T> {
  readonly a: T | null;
  readonly b: T | null;
  readonly same: boolean;
}

/**
 * The columns with the fewest changes; something in the place of something else counts less than one left out and
 * another put in (after Wagner and Fischer, The String-to-String Correction Problem, 1974).
 */
export function align<T>(a: readonly T[], b: readonly T[], same: (x: T, y: T) => boolean = Object.is): Column<T>[] {
  let from = 0;
  while (from < a.length && from < b.length && same(a[from] as T, b[from] as T)) from++;
  let tail = 0;
  while (tail < a.length - from && tail < b.length - from && same(a[a.length - 1 - tail] as T, b[b.length - 1 - tail] as T)) tail++;
  const [rows, width] = [a.length - from - tail, b.length - from - tail];
  const gap = 2;
  const swap = 3;
  const cost = Array.from({ length: rows + 1 }, (_, i) => {
    const row = new Float64Array(width + 1);
    row[0] = i * gap;
    return row;
  });
  const at = (i: number, j: number): number => cost[i]?.[j] ?? Infinity;
  const alike = (i: number, j: number): boolean => same(a[from + i - 1] as T, b[from + j - 1] as T);
  for (let j = 1; j <= width; j++) cost[0]![j] = j * gap;
  for (let i = 1; i <= rows; i++)
    for (let j = 1; j <= width; j++)
      cost[i]![j] = Math.min(at(i - 1, j) + gap, at(i, j - 1) + gap, at(i - 1, j - 1) + (alike(i, j) ? 0 : swap));
  const middle: Column<T>[] = [];
  let [i, j] = [rows, width];
  while (i > 0 || j > 0) {
    if (i > 0 && j > 0 && at(i, j) === at(i - 1, j - 1) + (alike(i, j) ? 0 : swap)) {
      middle.push({ a: a[from + --i] as T, b: b[from + --j] as T, same: alike(i + 1, j + 1) });
    } else if (i > 0 && at(i, j) === at(i - 1, j) + gap) middle.push({ a: a[from + --i] as T, b: null, same: false });
    else middle.push({ a: null, b: b[from + --j] as T, same: false });
  }
  const both = (k: number, l: number): Column<T> => ({ a: a[k] as T, b: b[l] as T, same: true });
  return [
    ...Array.from({ length: from }, (_, k) => both(k, k)),
    ...middle.reverse(),
    ...Array.from({ length: tail }, (_, k) => both(a.length - tail + k, b.length - tail + k)),
  ];
}
