/** The cube at hand: read from the address bar, planned by the server, shared by every screen. */

import { address } from './address.svelte';
import { Answer, ask, server } from './api.svelte';
import { settings } from './settings.svelte';
import type { About, CubeIn, Plan } from './types';

/** Methods and letterings there are, asked once and again when `about.load()` is called. */
class Known {
  value = $state.raw<About | null>(null);

  async load(): Promise<void> {
    try {
      this.value = await ask<About>('about');
    } catch {
      // The banner says that the server is away; App loads this again when it is back.
    }
  }
}

export const about = new Known();

class Hand {
  readonly answer = new Answer<CubeIn, Plan>((cube, signal) => ask<Plan>('plan', cube, { signal }));

  /** What the server is asked: null while there is no cube. Without a word in the address the settings decide. */
  get cube(): CubeIn | null {
    const scramble = address.get('scramble');
    const net = address.get('net');
    if (!scramble && !net) return null;
    return {
      ...(net ? { net } : { scramble }),
      ...this.reading,
      breaks: address.get('breaks') || settings.value.breaks || null,
    };
  }

  /** How any cube is read. */
  get reading(): Pick<CubeIn, 'method' | 'lettering' | 'hold'> {
    return {
      method: this.method,
      lettering: address.get('lettering') || settings.value.lettering || null,
      hold: address.get('hold') || settings.value.hold || null,
    };
  }

  get method(): string {
    return address.get('method') || settings.value.method || about.value?.defaults.method || 'two-swap';
  }

  /** What stays of the breaks for another cube or another way to read it: a policy, not letters that were chosen. */
  get keptBreaks(): string | null {
    return address.get('breaks').startsWith('choose:') ? null : address.get('breaks');
  }

  get plan(): Plan | null {
    return this.answer.value;
  }

  get error(): string {
    return this.answer.error;
  }

  /** Call in an effect: puts the question whenever the address or the settings change or the server is back. */
  watch(): void {
    void server.epoch;
    if (settings.ready) this.answer.put(this.cube);
  }
}

export const hand = new Hand();

/** Letters by sticker number, all orbits together. */
export function lettersOf(plan: Plan | null): Record<number, string> {
  return Object.assign({}, ...Object.values(plan?.view.letters ?? {})) as Record<number, string>;
}
