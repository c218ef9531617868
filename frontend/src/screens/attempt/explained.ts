/** Explanations of a failed attempt, from a fresh verdict or from the mistakes that the logbook keeps. */

import type { AttemptDetails } from '../../lib/types';

export interface Slip {
  readonly say: string;
  readonly felt: string;
  readonly hint: string;
}

export interface Account {
  readonly probability: number;
  readonly mistakes: readonly Slip[];
  /** Letters it takes to have been meant, where they are not the plan's. */
  readonly memo?: Readonly<Record<string, readonly string[]>>;
}

const text = (value: unknown): string => (typeof value === 'string' ? value : '');

/** Kept mistakes put together again by the explanation they belong to, the likeliest first. */
export function accountsOf(mistakes: AttemptDetails['mistakes']): Account[] {
  const numbers = [...new Set(mistakes.map(({ explanation }) => explanation))].sort((a, b) => a - b);
  return numbers.map((number) => {
    const mine = mistakes.filter(({ explanation }) => explanation === number);
    return {
      probability: mine[0]?.probability ?? 0,
      mistakes: mine.map(({ said, kind, orbit, letter }) => ({
        say: text(said['say']) || [kind, orbit, letter].filter(Boolean).join(' '),
        felt: text(said['felt']),
        hint: text(said['hint']),
      })),
    };
  });
}
