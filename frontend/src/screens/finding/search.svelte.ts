/** One search at a time: begun, followed by its events, stopped by closing the connection. */

import { server } from '../../lib/api.svelte';
import { EventReader } from './events';

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
      const answer = await fetch('api/find', {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify(asked),
        signal: under.signal,
      });
      if (!answer.ok || !answer.body) {
        const said = (await answer.json().catch(() => null)) as { error?: string } | null;
        throw new Error(said?.error ?? `The server answered ${answer.status}.`);
      }
      await this.#follow(answer.body, under.signal);
    } catch (trouble) {
      if (under.signal.aborted) return;
      // `fetch` and its stream throw a TypeError when the connection is gone.
      if (trouble instanceof TypeError) server.lost();
      this.#fail(trouble instanceof TypeError ? 'The connection broke off before the search had ended.' : (trouble as Error).message);
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

  async #follow(body: ReadableStream<Uint8Array<ArrayBuffer>>, signal: AbortSignal): Promise<void> {
    const reader = body.pipeThrough(new TextDecoderStream()).getReader();
    const events = new EventReader();
    for (;;) {
      const { done, value } = await reader.read();
      if (signal.aborted) return;
      for (const { event, data } of events.read(value ?? '')) {
        const told: unknown = JSON.parse(data);
        if (event === 'progress') ({ length: this.length, walked: this.walked } = told as { length: number; walked: number });
        else if (event === 'error') return this.#fail((told as { error: string }).error);
        else if (event === 'done') {
          this.done = told as Done;
          this.state = 'done';
          return;
        }
      }
      if (done) return this.#fail('The connection broke off before the search had ended.');
    }
  }

  #fail(error: string): void {
    this.error = error;
    this.state = 'failed';
  }
}
