/**
 * The solve as a line of turns with named stretches, and a playhead that moves along it. Nothing here draws or waits:
 * the page asks `advance` how far the playhead has come.
 */

import type { Turn } from './cube';

export type StretchKind = 'scramble' | 'hold' | 'setup' | 'swap' | 'undo';

/** Turns `from` to `to` (the latter not included) belong together; `step` is the index among the plan's steps. */
export interface Stretch {
  readonly kind: StretchKind;
  readonly step: number | null;
  readonly from: number;
  readonly to: number;
}

export interface Timeline {
  readonly turns: readonly Turn[];
  readonly stretches: readonly Stretch[];
}

/** `at` turns are done, a fraction meaning one is under way; it runs towards `goal` if there is one. */
export interface Playhead {
  readonly at: number;
  readonly goal: number | null;
  /** Quarter turns a second. */
  readonly speed: number;
}

export const SPEEDS: readonly number[] = [0.5, 1, 2, 4, 8];

export interface StepTurns {
  readonly setup: readonly Turn[];
  readonly swap: readonly Turn[];
  readonly undo: readonly Turn[];
}

/** The whole solve: scramble, hold, then the steps. */
export function timeline(scramble: readonly Turn[], hold: readonly Turn[], steps: readonly StepTurns[]): Timeline {
  const turns: Turn[] = [];
  const stretches: Stretch[] = [];
  const add = (kind: StretchKind, step: number | null, more: readonly Turn[]): void => {
    if (more.length === 0) return;
    stretches.push({ kind, step, from: turns.length, to: turns.length + more.length });
    turns.push(...more);
  };
  add('scramble', null, scramble);
  add('hold', null, hold);
  steps.forEach((step, number) => {
    add('setup', number, step.setup);
    add('swap', number, step.swap);
    add('undo', number, step.undo);
  });
  return { turns, stretches };
}

/** Where the steps begin: the cube lies scrambled and held as it is read. */
export function readingPlace(line: Timeline): number {
  return line.stretches.find((stretch) => stretch.step !== null)?.from ?? line.turns.length;
}

/** The stretch under way at a place, or the one about to begin; null at the end. */
export function stretchAt(line: Timeline, at: number): Stretch | null {
  return line.stretches.find((stretch) => at < stretch.to) ?? null;
}

/** The turns of one step, from first to last; null for a step without turns. */
export function stepSpan(line: Timeline, step: number): { from: number; to: number } | null {
  const mine = line.stretches.filter((stretch) => stretch.step === step);
  const first = mine[0];
  const last = mine.at(-1);
  return first && last ? { from: first.from, to: last.to } : null;
}

/** Places at which a new step, the scramble or the hold begins, and the end. */
export function stops(line: Timeline): number[] {
  const begins = line.stretches.filter((s, i) => i === 0 || s.step === null || s.step !== line.stretches[i - 1]?.step);
  return [...begins.map((s) => s.from), line.turns.length];
}

const clamp = (at: number, line: Timeline): number => Math.min(Math.max(at, 0), line.turns.length);

export const resting = (at: number, speed = 2): Playhead => ({ at, goal: null, speed });

/** Jump to a place and rest there. */
export function seek(head: Playhead, line: Timeline, at: number): Playhead {
  return { ...head, at: clamp(Math.round(at), line), goal: null };
}

/** Run to a place, turn by turn. */
export function runTo(head: Playhead, line: Timeline, goal: number): Playhead {
  const to = clamp(goal, line);
  return { ...head, goal: to === head.at ? null : to };
}

/** Run to the end, from the beginning of the steps if the end is reached already. */
export function play(head: Playhead, line: Timeline): Playhead {
  const from = head.at >= line.turns.length ? readingPlace(line) : head.at;
  return runTo({ ...head, at: from }, line, line.turns.length);
}

/** Come to rest after the turn under way. */
export function pause(head: Playhead, line: Timeline): Playhead {
  if (head.goal === null) return head;
  const to = head.goal > head.at ? Math.ceil(head.at) : Math.floor(head.at);
  return runTo(head, line, to);
}

/** One turn on (1) or back (-1), from where the playhead is going if it is already on its way. */
export function nudge(head: Playhead, line: Timeline, by: 1 | -1): Playhead {
  const from = by > 0 ? Math.floor(head.at) : Math.ceil(head.at);
  const same = head.goal !== null && Math.sign(head.goal - head.at) === by && Math.abs(head.goal - head.at) <= 3;
  return runTo(head, line, (same ? (head.goal ?? from) : from) + by);
}

/** The next stop after (1) or before (-1) the playhead. */
export function nextStop(head: Playhead, line: Timeline, by: 1 | -1): Playhead {
  const all = stops(line);
  const to = by > 0 ? all.find((stop) => stop > head.at) : all.findLast((stop) => stop < head.at);
  return seek(head, line, to ?? head.at);
}

/** How long a turn takes in quarter turns; a half turn is quicker than two quarter turns. */
const weight = (turn: Turn | undefined): number => (turn && Math.abs(turn.amount) === 2 ? 1.5 : 1);

/** The playhead `seconds` later. */
export function advance(head: Playhead, line: Timeline, seconds: number): Playhead {
  if (head.goal === null) return head;
  let { at } = head;
  const { goal } = head;
  let left = Math.max(seconds, 0) * head.speed;
  const way = Math.sign(goal - at);
  while (left > 0 && at !== goal) {
    const index = way > 0 ? Math.floor(at) : Math.ceil(at) - 1;
    const heavy = weight(line.turns[index]);
    const edge = way > 0 ? Math.min(index + 1, goal) : Math.max(index, goal);
    const need = Math.abs(edge - at) * heavy;
    if (need <= left + 1e-9) {
      at = edge;
      left -= need;
    } else {
      at += (way * left) / heavy;
      left = 0;
    }
  }
  return { ...head, at, goal: at === goal ? null : goal };
}

/** Starts and ends gently; 0 at 0, 1 at 1. */
export const ease = (part: number): number => part * part * (3 - 2 * part);
