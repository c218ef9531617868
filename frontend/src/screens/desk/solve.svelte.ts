/** The plan at hand as a line of turns, and what to call its stretches. */

import { apply, invert, parseTurns, type Turn } from '../../lib/cube';
import { timeline, type Stretch, type Timeline } from '../../lib/player';
import type { Plan } from '../../lib/types';

export interface Solve {
  readonly line: Timeline;
  /** What the places show before the first turn. */
  readonly start: readonly string[];
}

/** Scramble, hold and steps of a plan; a cube that came as a net has no scramble to show. */
export function solveOf(plan: Plan): Solve {
  const { size, colours } = plan.view;
  let scramble: Turn[] = [];
  try {
    scramble = parseTurns(plan.scramble, size);
  } catch {
    // Written in a way only the server reads: then the solve starts at the scrambled cube.
  }
  const hold = parseTurns(plan.hold, size);
  const steps = plan.steps.map(({ setup, swap, undo }) => ({
    setup: parseTurns(setup, size),
    swap: parseTurns(swap, size),
    undo: parseTurns(undo, size),
  }));
  return {
    line: timeline(scramble, hold, steps),
    start: apply(colours, invert([...scramble, ...hold]), size),
  };
}

/** What a stretch is called and what it does. */
export function nameOf(plan: Plan, stretch: Stretch): { title: string; what: string } {
  if (stretch.kind === 'scramble') return { title: 'Scramble', what: 'white up, green in front' };
  if (stretch.kind === 'hold') return { title: 'Hold', what: `${plan.view.hold_words}: now read the cube` };
  const step = stretch.step === null ? undefined : plan.steps[stretch.step];
  if (!step) return { title: '', what: '' };
  const swap = plan.labels[step.orbit] ?? 'swap';
  if (step.orbit === 'parity') return { title: 'Parity', what: `${swap}: ${step.why}` };
  const title = `${step.letter} · ${step.sticker}`;
  if (stretch.kind === 'setup') return { title, what: step.why };
  if (stretch.kind === 'undo') return { title, what: 'takes the setup back' };
  return { title, what: swap };
}

/** For each step the orbit and the number of the first letter that it deals with; null for the parity step. */
export function lettersOfSteps(plan: Plan): ({ orbit: string; from: number; to: number } | null)[] {
  const passed: Record<string, number> = {};
  return plan.steps.map((step) => {
    if (!step.sticker) return null;
    const from = passed[step.orbit] ?? 0;
    const to = from + step.sticker.split(' ').length;
    passed[step.orbit] = to;
    return { orbit: step.orbit, from, to };
  });
}
