/** Cubes on which a question can be answered by showing it: dealt with the feature in question, and planned. */

import { ask } from '../../lib/api.svelte';
import type { Cycle, Deal, OrbitPlan, Plan } from '../../lib/types';

/** Always the same cubes, so that a page read twice says the same. */
const SEED = 20;

/** A cube with the features, planned with the method and its own lettering. */
export async function example(features: Readonly<Record<string, string>>, method: string, signal: AbortSignal): Promise<Plan> {
  const deal = await ask<Deal>('deal', { count: 1, blind: false, size: 3, seed: SEED, ...features, method }, { signal });
  return ask<Plan>('plan', { scramble: deal.scrambles[0]?.scramble ?? '', method }, { signal });
}

export interface Case {
  readonly plan: Plan;
  readonly orbit: OrbitPlan;
  readonly cycle: Cycle;
}

/** The first cycle of the plan that `fits`. */
export function firstCycle(plan: Plan | null, fits: (cycle: Cycle, number: number, orbit: OrbitPlan) => boolean): Case | null {
  for (const orbit of plan?.orbits ?? []) {
    const cycle = orbit.readings.find((one, number) => fits(one, number, orbit));
    if (plan && cycle) return { plan, orbit, cycle };
  }
  return null;
}
