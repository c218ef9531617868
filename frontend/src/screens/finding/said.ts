/** What a finished search says of itself, and its results in the order asked for. */

import type { Done, FoundOne } from './search.svelte';

export type Column = 'cost' | 'obtm' | 'stm';

export function said({ shortest, proven, turns, found, cut, memory_bound: bound }: Done): string {
  const tried = `every sequence of ${turns} was tried`;
  const more = [
    cut ? 'there are more than could be kept' : '',
    bound ? 'more memory would have let it look further' : '',
  ].filter(Boolean);
  const first =
    shortest === null
      ? `None has up to ${proven} turns: ${tried}.`
      : shortest === 0
        ? 'Nothing is to be done: the effect is that of no turns at all.'
        : `${found.toLocaleString('en')} found. None is shorter than ${shortest} ${shortest === 1 ? 'turn' : 'turns'}: ${tried}.`;
  return more.length ? `${first} ${more.join('; ').replace(/^./, (c) => c.toUpperCase())}.` : first;
}

/** Least first; what is equal keeps the order of ease in which the server gave it. */
export function inOrder(algorithms: readonly FoundOne[], by: Column): FoundOne[] {
  return algorithms.toSorted((a, b) => a[by] - b[by]);
}
