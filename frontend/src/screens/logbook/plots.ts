/** From what the logbook shows to what is drawn, read out and put into tables; no markup here. */

import { clock, dayWords, measured, wholeClock } from '../../lib/times';
import type { Progress, Rate } from '../../lib/types';

/** How a line is drawn besides its colour, so that colours never speak alone. */
export type Stroke = 'plain' | 'dashed' | 'dotted' | 'long' | 'marks';

export interface Line {
  readonly title: string;
  readonly stroke: Stroke;
  /** Which of the theme's colours. */
  readonly ink: 'lamp' | 'ink' | 'quiet' | 'good' | 'bad';
  readonly values: readonly (number | null)[];
  /** Whether the line breaks off where there is no value, since that says something: a mean with a DNF in it is none. */
  readonly breaks?: boolean;
}

export interface Figure {
  readonly title: string;
  /** What the drawing shows, in a sentence or two. */
  readonly summary: string;
  readonly labels: readonly string[];
  readonly lines: readonly Line[];
  /** Where the truth lies for the first line: a band from low to high. */
  readonly band?: { readonly low: readonly (number | null)[]; readonly high: readonly (number | null)[] };
  /** How values are written. */
  readonly write: (value: number) => string;
  /** Of times, how many to the second: their axis has marks at round minutes and seconds. */
  readonly second?: number;
  readonly most?: number;
}

/**
 * Where a line has a value with none beside it to draw a line to: the places of these values, which only a point shows.
 * Of a line that goes on across gaps that is its only value.
 */
export function lonePlaces({ values, breaks }: Pick<Line, 'values' | 'breaks'>): number[] {
  const places = [...values.keys()].filter((at) => values[at] !== null);
  const joined = (from: number | undefined, to: number | undefined): boolean => from !== undefined && to !== undefined && (!breaks || to === from + 1);
  return places.filter((at, i) => !joined(places[i - 1], at) && !joined(at, places[i + 1]));
}

/**
 * The figure's numbers as they are drawn: places from left to right, then the low and the high edge of the band, if there
 * is one, over which the lines come.  A place that is alone lies between two that have nothing but the band, since it has
 * no width itself.
 */
export function drawnRows({ labels, lines, band }: Pick<Figure, 'labels' | 'lines' | 'band'>): (number | null)[][] {
  const alone = labels.length === 1;
  const row = (values: readonly (number | null)[]): (number | null)[] => (alone ? [null, values[0] ?? null, null] : [...values]);
  const edge = (values: readonly (number | null)[]): (number | null)[] => (alone ? [0, 1, 2].map(() => values[0] ?? null) : [...values]);
  return [alone ? [-0.1, 0, 0.1] : [...labels.keys()], ...(band ? [edge(band.low), edge(band.high)] : []), ...lines.map(({ values }) => row(values))];
}

/** Steps between the marks of an axis of times, in seconds. */
const SECONDS = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600];
export const timeSteps = (second: number): number[] => SECONDS.map((step) => step * second);
export const timeMark = (value: number, second: number): string => wholeClock(Math.round(value / second));

export const percent = (share: number): string => `${Math.round(100 * share)}%`;
export const tenths = (value: number): string => value.toLocaleString('en', { maximumFractionDigits: 1 });
export const counted = (count: number): string => count.toLocaleString('en');

const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

/** A period for people: `March 2026`, `5 March 2026`, `2026`. */
export function periodWords(of: string): string {
  const [year = '', month, day] = of.split('-');
  if (!month) return year;
  return day ? dayWords(of) : `${MONTHS[Number(month) - 1]} ${year}`;
}

const ends = (labels: readonly string[]): string => (labels.length > 1 ? `from ${periodWords(labels[0]!)} to ${periodWords(labels.at(-1)!)}` : labels.length ? `in ${periodWords(labels[0]!)}` : '');

/** A share with where it lies with 95 % confidence. */
export const shareWords = ({ solved }: Pick<Rate, 'solved'>): string =>
  solved.value === null ? 'no attempt that ended' : `${percent(solved.value)} (${counted(solved.good)} of ${counted(solved.all)}; between ${percent(solved.low)} and ${percent(solved.high)} with 95 % confidence)`;

export function successFigure({ timeline }: Pick<Progress, 'timeline'>, many = false): Figure {
  const known = timeline.filter(({ solved }) => solved.value !== null);
  const labels = known.map(({ of }) => of);
  const first = known[0];
  const last = known.at(-1);
  return {
    title: many ? 'How often it counted' : 'How often it was solved',
    summary: !first || !last ? 'No attempt has ended yet.' : first === last ? `${shareWords(first)}, ${ends(labels)}.` : `First ${percent(first.solved.value!)}, last ${percent(last.solved.value!)}, ${ends(labels)}. The band shows where the true rate lies with 95 % confidence.`,
    labels,
    lines: [{ title: 'solved', stroke: 'plain', ink: 'lamp', values: known.map(({ solved }) => solved.value) }],
    band: { low: known.map(({ solved }) => solved.low), high: known.map(({ solved }) => solved.high) },
    write: percent,
    most: 1,
  };
}

export function timesFigure({ timeline }: Pick<Progress, 'timeline'>): Figure {
  const known = timeline.filter(({ total_ms }) => total_ms !== null);
  const labels = known.map(({ of }) => of);
  const last = known.at(-1);
  const parts = last ? `memo ${last.memo_ms === null ? 'unknown' : measured(last.memo_ms)}, execution ${last.execution_ms === null ? 'unknown' : measured(last.execution_ms)}` : '';
  return {
    title: 'Memo and execution',
    summary: last ? `Means of the solved attempts, ${ends(labels)}; last ${parts}.` : 'No solved attempt has a time yet.',
    labels,
    lines: [
      { title: 'memo', stroke: 'plain', ink: 'lamp', values: known.map(({ memo_ms }) => memo_ms) },
      { title: 'execution', stroke: 'dashed', ink: 'ink', values: known.map(({ execution_ms }) => execution_ms) },
    ],
    write: measured,
    second: 1000,
  };
}

export function resultsFigure({ attempts }: Pick<Progress, 'attempts'>): Figure {
  const results = attempts.map(({ result }) => result);
  const good = results.filter((result) => result !== null);
  const low = good.length ? Math.min(...good) : 0;
  const newest = attempts.at(-1);
  return {
    title: 'Results, one by one',
    summary: good.length
      ? `${attempts.length} attempts, ${good.length} of them solved, the fastest in ${clock(low)}. Of the last three: best ${newest?.best_of_3 == null ? 'none' : clock(newest.best_of_3)}, mean ${newest?.mean_of_3 == null ? 'none' : clock(newest.mean_of_3)}. A DNF is a mark on the ground line.`
      : 'No solved attempt yet.',
    labels: attempts.map(({ day }) => day),
    lines: [
      { title: 'result', stroke: 'marks', ink: 'ink', values: results },
      { title: 'best of the last 3', stroke: 'plain', ink: 'lamp', breaks: true, values: attempts.map(({ best_of_3 }) => best_of_3) },
      { title: 'mean of the last 3', stroke: 'dashed', ink: 'quiet', breaks: true, values: attempts.map(({ mean_of_3 }) => mean_of_3) },
      { title: 'DNF', stroke: 'marks', ink: 'bad', values: attempts.map(({ result }) => (result === null ? 0 : null)) },
    ],
    write: clock,
    second: 100,
  };
}

export function manyFigure({ many }: Pick<Progress, 'many'>): Figure {
  const scored = many.filter(({ points }) => points !== null);
  const newest = many.at(-1);
  return {
    title: 'Points, one by one',
    summary: newest
      ? `${many.length} ${many.length === 1 ? 'attempt' : 'attempts'}, ${scored.length} of them counted; the newest: ${newest.result}. A DNF is a mark on the ground line.`
      : 'No attempt at many cubes has ended yet.',
    labels: many.map(({ day }) => day),
    lines: [
      { title: 'points', stroke: 'marks', ink: 'lamp', values: many.map(({ points }) => points) },
      { title: 'DNF', stroke: 'marks', ink: 'bad', values: many.map(({ points }) => (points === null ? 0 : null)) },
    ],
    write: tenths,
  };
}

const STROKES: readonly Pick<Line, 'stroke' | 'ink'>[] = [
  { stroke: 'plain', ink: 'lamp' },
  { stroke: 'dashed', ink: 'ink' },
  { stroke: 'dotted', ink: 'good' },
  { stroke: 'long', ink: 'quiet' },
];

/** How many lines can still be told apart. */
export const MOST_LINES = STROKES.length;

/** A kind of mistake as people read it. */
export const kindWords = (kind: string): string => kind.replace(/[-_]/g, ' ');

export function mistakesFigure({ mistakes, mistakes_by_period: { periods, lines } }: Pick<Progress, 'mistakes' | 'mistakes_by_period'>): Figure {
  const kinds = mistakes.slice(0, MOST_LINES).map(({ kind }) => kind);
  const times = new Map(lines.map((line) => [line.kind, line.times]));
  const worst = mistakes[0];
  return {
    title: 'Mistakes over time',
    summary: worst ? `Counted by their probability, ${ends(periods)}. The dearest is “${kindWords(worst.kind)}”: without it ${tenths(worst.cost)} more ${worst.cost === 1 ? 'solve' : 'solves'} could be expected.` : 'No inquest has found a mistake yet.',
    labels: periods,
    lines: kinds.map((kind, i) => ({ title: kindWords(kind), ...STROKES[i]!, values: times.get(kind) ?? periods.map(() => 0) })),
    write: tenths,
  };
}

export function retentionFigure({ retention, retention_by_period: { periods, lines } }: Pick<Progress, 'retention' | 'retention_by_period'>): Figure {
  const exercises = [...retention].sort((a, b) => b.right.all - a.right.all).slice(0, MOST_LINES);
  // What is known a day later tells more than what is known at once, as soon as anything was asked again.
  const later = exercises.some(({ kept }) => kept.all > 0);
  const shares = new Map(lines.map((line) => [line.exercise, (later ? line.again : line.asked).map((all, i) => (all ? (later ? line.kept : line.right)[i]! / all : null))]));
  const share = ({ kept, right }: Progress['retention'][number]): string => {
    const { value } = later ? kept : right;
    return value === null ? 'not asked again yet' : percent(value);
  };
  return {
    title: 'What the drills left behind',
    summary: exercises.length ? `Known ${later ? 'a day or more after it was last asked' : 'when asked'}, ${ends(periods)}: ${exercises.map((one) => `${kindWords(one.exercise)} ${share(one)}`).join(', ')}.` : 'No drill was done yet.',
    labels: periods,
    lines: exercises.map(({ exercise }, i) => ({ title: kindWords(exercise), ...STROKES[i]!, values: shares.get(exercise) ?? periods.map(() => null) })),
    write: percent,
    most: 1,
  };
}

/** The address of a table as CSV. */
export function csvAddress(table: string, scope: Readonly<Record<string, string>>): string {
  return `api/progress.csv?${new URLSearchParams({ table, ...scope }).toString()}`;
}
