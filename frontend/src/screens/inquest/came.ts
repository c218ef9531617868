/** The three ways to tell what came out. */

import type { CubeFace } from '../../lib/types';

export type Way = 'final' | 'left' | 'performed';

export const WAYS: readonly { id: Way; label: string }[] = [
  { id: 'final', label: 'Paint it' },
  { id: 'left', label: 'Missing turns' },
  { id: 'performed', label: 'Turns made' },
];

/** The way that the address tells: the one chosen, else the one that something was told in. */
export function wayOf(get: (name: string) => string): Way {
  const chosen = WAYS.find(({ id }) => id === get('came')) ?? WAYS.find(({ id }) => get(id));
  return chosen?.id ?? 'final';
}

/** The colours of the solved cube in the hold of a view. */
export function solvedAs(view: CubeFace): string[] {
  const area = view.size * view.size;
  return Array.from({ length: 6 * area }, (_, place) => view.scheme[Math.floor(place / area)] ?? '');
}

/** A net whose symbols are the letters of the faces, in colour initials; any other as it is. */
export function asInitials(net: readonly string[]): string[] {
  const symbols = new Set(net);
  const faces = [...'ULFRBD'];
  if (symbols.size !== 6 || !faces.every((face) => symbols.has(face))) return [...net];
  return net.map((symbol) => 'WOGRBY'[faces.indexOf(symbol)] ?? symbol);
}
