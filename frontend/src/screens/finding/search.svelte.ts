/** One search at a time: begun, followed by its events, stopped by closing the connection. */

import { search } from '../../lib/api.svelte';

export interface Asked {
  want?: string;
  like?: string;
  parity?: string;
  turns: string;
  longest: number | null;
  extra: number;
  any: string;
  count: number;
}

export interface FoundOne {
  algorithm: string;
  form: string | null;
  cost: number;
  obtm: number;
  stm: number;
}

export interface Done {
  turns: string;
  shortest: number | null;
  proven: number;
  found: number;
  memory_bound: boolean;
  cut: boolean;
  algorithms: FoundOne[];
}

export type State = 'idle' | 'searching' | 'done' | 'stopped' | 'failed';

export class Search {
  state = $state<State>('idle');
  /** The length that is being searched; 0 before the first news. */
  length = $state(0);
  walked = $state(0);
  done = $state.raw<Done | null>(null);
  error = $state('');
  #under: AbortController | null = null;

  async begin(asked: Asked): Promise<void> {
    this.#under?.abort();
    const under = new AbortController();
    this.#under = under;
    this.state = 'searching';
    this.length = this.walked = 0;
    this.done = null;
    this.error = '';
    try {
      const done = await search<Done, { length: number; walked: number }>('find', asked, under.signal, ({ length, walked }) => {
        if (!under.signal.aborted) [this.length, this.walked] = [length, walked];
      });
      if (under.signal.aborted) return;
      this.done = done;
      this.state = 'done';
    } catch (trouble) {
      if (under.signal.aborted) return;
      this.error = trouble instanceof Error ? trouble.message : String(trouble);
      this.state = 'failed';
    }
  }

  /** End the search; closing the connection tells the server. */
  stop(): void {
    if (this.state !== 'searching') return;
    this.#under?.abort();
    this.state = 'stopped';
  }

  /** Forget what was found, and stop. */
  clear(): void {
    this.#under?.abort();
    this.state = 'idle';
    this.done = null;
    this.error = '';
  }
}
