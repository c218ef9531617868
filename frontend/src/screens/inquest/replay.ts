/** What was meant and what happened, turn beside turn, under one playhead. */

import { align, type Column } from '../../lib/align';
import { apply, parseTurns, permutation, writeTurn, type Turn } from '../../lib/cube';
import type { Stretch, StretchKind, Timeline } from '../../lib/player';
import type { MeantStep, Mistake } from './verdict';

export interface ReplayStep {
  readonly number: number;
  readonly orbit: string;
  readonly letter: string;
  /** Columns of its turns, the latter not included. */
  readonly from: number;
  readonly to: number;
  /** Here it went wrong. */
  readonly slip: boolean;
}

export interface Replay {
  readonly columns: readonly Column<Turn>[];
  readonly line: Timeline;
  readonly steps: readonly ReplayStep[];
}

export type Side = 'a' | 'b';

/** The turns `happened` beside those of the steps that were meant; `mistakes` tell at which letters it went wrong. */
export function replay(meant: readonly MeantStep[], happened: string, mistakes: readonly Mistake[], size = 3): Replay {
  const turns: Turn[] = [];
  const parts: { kind: StretchKind; step: number; from: number }[] = [];
  meant.forEach((step, number) => {
    for (const kind of ['setup', 'swap', 'undo'] as const) {
      const more = parseTurns(step[kind], size);
      if (more.length) parts.push({ kind, step: number, from: turns.length });
      turns.push(...more);
    }
  });
  const columns = align(turns, parseTurns(happened, size), (x, y) => writeTurn(x) === writeTurn(y));
  /** The column in which each meant turn stands. */
  const column: number[] = [];
  columns.forEach(({ a }, at) => {
    if (a) column.push(at);
  });
  const starts = parts.map(({ from }, i) => (i === 0 ? 0 : (column[from] ?? columns.length)));
  const stretches = parts.map(
    ({ kind, step }, i): Stretch => ({ kind, step, from: starts[i] ?? 0, to: starts[i + 1] ?? columns.length }),
  );
  const line: Timeline = { turns: columns.map(({ a, b }) => a ?? b ?? NOTHING), stretches };
  const named = slipSteps(meant, mistakes);
  const steps = meant.flatMap((step, number): ReplayStep[] => {
    const mine = stretches.filter((stretch) => stretch.step === number);
    const [first, last] = [mine[0], mine.at(-1)];
    if (!first || !last) return [];
    const differs = columns.slice(first.from, last.to).some(({ same }) => !same);
    return [{ number, orbit: step.orbit, letter: step.letter, from: first.from, to: last.to, slip: named ? named.has(number) : differs }];
  });
  return { columns, line, steps };
}

/** A column that has a turn on neither side does not occur; this stands for it. */
const NOTHING: Turn = { letter: 'x', outer: 0, inner: 0, amount: 0 };

/** The steps the mistakes name; null where one of them names none. */
function slipSteps(meant: readonly MeantStep[], mistakes: readonly Mistake[]): ReadonlySet<number> | null {
  const found = new Set<number>();
  for (const { orbit, at } of mistakes) {
    const mine = meant.flatMap((step, number) => (step.orbit === orbit ? [number] : []));
    const step = mine[at ?? (orbit === 'parity' ? 0 : -1)];
    if (step === undefined) return null;
    found.add(step);
  }
  return found;
}

/** Where to begin looking: the step before the first difference has its start here. */
export function firstSlip({ columns, steps }: Replay): number {
  const differs = columns.findIndex(({ same }) => !same);
  const at = differs < 0 ? columns.length : differs;
  const named = steps.find(({ slip }) => slip)?.from ?? at;
  const start = steps.find(({ from, to }) => from <= at && at < to)?.from ?? at;
  return Math.min(named, start);
}

/** The cube of one side when the playhead is at `at`: the colours before the turn under way, and that turn. */
export function sideAt(
  columns: readonly Column<Turn>[],
  side: Side,
  start: readonly string[],
  at: number,
  size = 3,
): { colours: string[]; turning: { turn: Turn; part: number } | null } {
  const done = Math.min(Math.floor(at), columns.length);
  const made = columns.slice(0, done).flatMap((column) => column[side] ?? []);
  const turn = columns[done]?.[side];
  return { colours: apply(start, made, size), turning: turn && at > done ? { turn, part: at - done } : null };
}

/** The places at which two cubes differ, however one of them is turned as a whole against the other. */
export function differing(a: readonly string[], b: readonly string[], size = 3): number[] {
  const middle = (face: number): number => face * size * size + (size * size - 1) / 2;
  for (const source of holds(size)) {
    if ([0, 1, 2, 3, 4, 5].every((face) => a[source[middle(face)] ?? 0] === b[middle(face)])) {
      return b.flatMap((symbol, place) => (symbol === a[source[place] ?? 0] ? [] : [place]));
    }
  }
  return [];
}

/** The 24 ways to hold the cube, as source lists. */
function holds(size: number): number[][] {
  const turn = (letter: string): readonly number[] => permutation(size, { letter, outer: 0, inner: 0, amount: 1 });
  const then = (state: readonly number[], letter: string): number[] => turn(letter).map((from) => state[from] ?? 0);
  const found = new Map<string, number[]>();
  const open = [Array.from({ length: 6 * size * size }, (_, i) => i)];
  for (let state = open.pop(); state; state = open.pop()) {
    const key = state.join();
    if (found.has(key)) continue;
    found.set(key, state);
    open.push(then(state, 'x'), then(state, 'y'));
  }
  return [...found.values()];
}
