/** Outcomes as the lists show them: a sign and a word, so that colour never speaks alone. */

import type { Outcome } from '../../lib/types';

export const SIGNS: Readonly<Record<Outcome, { sign: string; words: string }>> = {
  solved: { sign: '✓', words: 'solved' },
  plus2: { sign: '✓', words: 'solved, +2' },
  dnf: { sign: '✗', words: 'DNF' },
  dns: { sign: '–', words: 'DNS' },
  unfinished: { sign: '…', words: 'unfinished' },
};
