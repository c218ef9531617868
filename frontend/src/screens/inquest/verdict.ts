/** What an inquest answers, as far as the screen reads it. */

import type { Plan } from '../../lib/types';
import type { Marking } from '../marking/marked';

export interface Mistake {
  kind: string;
  orbit: string;
  at: number | null;
  letter: string;
  say: string;
  felt: string;
  hint: string;
}

/** One step of what was meant. */
export interface MeantStep {
  orbit: string;
  letter: string;
  setup: string;
  swap: string;
  undo: string;
}

export interface Explanation {
  probability: number;
  mistakes: Mistake[];
  /** In other words what else may have happened at the same letters. */
  also: string[];
  turns: string;
  /** Few turns that go back to the mistake and put it right; empty where they are many. */
  correction: string;
  /** Letters it takes to have been meant, where they are not the plan's. */
  memo: Record<string, string[]>;
  /** What was put right in an impossible cube first. */
  repair: string;
}

export interface Verdict {
  solved: boolean;
  say: string;
  explanations: Explanation[];
  searched: { singles: number; pairs: number; triples: number };
  memos_tried: number;
  nearest: { mistakes: Mistake[]; pieces_left_wrong: number } | null;
  finish: string | null;
  memo_marking: Marking | null;
  problem: string;
  /** The turns that were made beside the plan, where they are known. */
  performed: { say: string } | null;
  /** The plan of what was meant. */
  meant: Plan;
}

/** Explanations less likely than this are shown when asked for. */
export const UNLIKELY = 0.01;

/** A share in words that claim no more than they know. */
export function percent(probability: number): string {
  if (probability > 0.995 && probability < 1) return 'over 99%';
  if (probability < UNLIKELY) return 'under 1%';
  return `${Math.round(100 * probability)}%`;
}

/** How much was looked through, in a sentence. */
export function searchedSentence({ searched, memos_tried }: Pick<Verdict, 'searched' | 'memos_tried'>): string {
  const n = (count: number): string => count.toLocaleString('en-GB');
  const { singles, pairs, triples } = searched;
  if (singles + pairs + triples === 0) return '';
  const parts = [`${n(singles)} single mistakes`, ...(pairs ? [`${n(pairs)} pairs`] : []), ...(triples ? [`${n(triples)} triples`] : [])];
  const memos = memos_tried > 1 ? `, over ${n(memos_tried)} right memos` : '';
  const list = parts.length > 1 ? `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}` : parts[0];
  return `Looked through ${list}${memos}.`;
}
