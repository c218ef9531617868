/** What a solver meant to turn: the steps of a memo, right or wrong, in the order of the method. */

import type { CubeFace, OrbitPlan } from '../../lib/types';
import type { MeantStep } from './verdict';

/** What is read of a method: the order of its orbits, the algorithms, and the setup of every target. */
export interface MethodFacts {
  order: string[];
  parity: { algorithm: string };
  setups: { orbits: { orbit: string; swap: string; setups: { sticker: string; setup: string; undo: string }[] }[] };
}

/** The letters that were meant in each orbit: those an explanation takes to have been, else those of the plan. */
export function lettersMeant(orbits: readonly OrbitPlan[], taken: Readonly<Record<string, readonly string[]>>): Record<string, string[]> {
  return Object.fromEntries(orbits.map(({ orbit, letters }) => [orbit, [...(taken[orbit] ?? letters)]]));
}

/** The steps of the letters; parity is decided by the count of the first orbit, as the solver decides it. */
export function meantSteps(method: MethodFacts, view: CubeFace, letters: Readonly<Record<string, readonly string[]>>): MeantStep[] {
  return method.order.flatMap((orbit, number): MeantStep[] => {
    const way = method.setups.orbits.find((one) => one.orbit === orbit);
    const symbols = Object.entries(view.letters[orbit] ?? {});
    const first = method.order[0] ?? '';
    const odd = number === 1 && (letters[first]?.length ?? 0) % 2 === 1 && method.parity.algorithm !== '';
    const parity: MeantStep[] = odd ? [{ orbit: 'parity', letter: '', setup: '', swap: method.parity.algorithm, undo: '' }] : [];
    const steps = (letters[orbit] ?? []).map((letter): MeantStep => {
      const sticker = view.names[Number(symbols.find(([, symbol]) => symbol === letter)?.[0] ?? -1)];
      const target = way?.setups.find((one) => one.sticker === sticker);
      // The buffer's own piece cannot be shot to: whoever has its letter turns nothing.
      return { orbit, letter, setup: target?.setup ?? '', swap: target ? (way?.swap ?? '') : '', undo: target?.undo ?? '' };
    });
    return [...parity, ...steps];
  });
}
