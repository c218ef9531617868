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
  /** Of many cubes the one it is about. */
  readonly cube?: number;
  /** Letters it takes to have been meant, where they are not the plan's. */
  readonly memo?: Readonly<Record<string, readonly string[]>>;
}

const text = (value: unknown): string => (typeof value === 'string' ? value : '');

/** Kept mistakes put together again by the cube and the explanation they belong to, the likeliest of each cube first. */
export function accountsOf(mistakes: AttemptDetails['mistakes']): Account[] {
  const cubeOf = ({ said }: AttemptDetails['mistakes'][number]): number => Number(said['cube'] ?? 0);
  const keys = [...new Map(mistakes.map((one) => [`${cubeOf(one)} ${one.explanation}`, [cubeOf(one), one.explanation] as const])).values()];
  keys.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  return keys.map(([cube, number]) => {
    const mine = mistakes.filter((one) => cubeOf(one) === cube && one.explanation === number);
    return {
      probability: mine[0]?.probability ?? 0,
      ...(cube ? { cube } : {}),
      mistakes: mine.map(({ said, kind, orbit, letter }) => ({
        say: text(said['say']) || [kind, orbit, letter].filter(Boolean).join(' '),
        felt: text(said['felt']),
        hint: text(said['hint']),
      })),
    };
  });
}
