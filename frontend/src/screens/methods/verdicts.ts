/** Turns gathered by the reason why they are free or not, each layer named once where all its amounts share a verdict. */

import type { Verdict } from './types';

export interface Reason {
  readonly why: string;
  readonly turns: readonly string[];
}

const layerOf = (turn: string): string => turn.replace(/[2']+$/, '');

/** The turns of `verdicts` as they are said: `L` where L, L2 and L' are all among them, else one by one. */
export function named(turns: readonly string[]): string[] {
  const layers = new Map<string, string[]>();
  for (const turn of turns) layers.set(layerOf(turn), [...(layers.get(layerOf(turn)) ?? []), turn]);
  return [...layers].flatMap(([layer, all]) => (all.length === 3 ? [layer] : all));
}

/** The reasons in the order in which they first occur. */
export function reasons(verdicts: readonly Verdict[]): Reason[] {
  const found = new Map<string, string[]>();
  for (const { turn, why } of verdicts) found.set(why, [...(found.get(why) ?? []), turn]);
  return [...found].map(([why, turns]) => ({ why, turns: named(turns) }));
}
