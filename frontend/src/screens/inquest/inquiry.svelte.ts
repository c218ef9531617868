/** One inquest at a time: begun, followed by its news, stopped by closing the connection. */

import { ApiError, search } from '../../lib/api.svelte';
import type { Verdict } from './verdict';

const COUNTED = ['no mistake', 'one mistake', 'two mistakes', 'three mistakes'];

export class Inquiry {
  busy = $state(false);
  stopped = $state(false);
  /** How many mistakes are being combined; 0 before the first news. */
  mistakes = $state(0);
  /** Whole seconds since it was begun. */
  seconds = $state(0);
  error = $state('');
  #under: AbortController | null = null;
  #clock: ReturnType<typeof setInterval> | undefined;

  /** The verdict; null where there is none, since it was stopped, another was begun, or `error` tells why. */
  async begin(question: unknown): Promise<Verdict | null> {
    this.#under?.abort();
    const under = new AbortController();
    this.#under = under;
    this.busy = true;
    this.stopped = false;
    this.mistakes = this.seconds = 0;
    this.error = '';
    clearInterval(this.#clock);
    this.#clock = setInterval(() => this.seconds++, 1000);
    try {
      const verdict = await search<Verdict, { mistakes: number }>('inquest', question, under.signal, ({ mistakes }) => {
        if (!under.signal.aborted) this.mistakes = mistakes;
      });
      return under.signal.aborted ? null : verdict;
    } catch (trouble) {
      // While the server is away the banner says so.
      if (!under.signal.aborted && !(trouble instanceof ApiError && trouble.status === 0)) {
        this.error = trouble instanceof Error ? trouble.message : String(trouble);
      }
      return null;
    } finally {
      if (this.#under === under) this.#end();
    }
  }

  /** End the search; closing the connection tells the server. */
  stop(): void {
    if (!this.busy) return;
    this.#under?.abort();
    this.#end();
    this.stopped = true;
  }

  #end(): void {
    clearInterval(this.#clock);
    this.busy = false;
  }

  /** How it goes, in a sentence. */
  get said(): string {
    const counted = COUNTED[this.mistakes] ?? '';
    if (this.stopped) return this.mistakes ? `Stopped while ${counted} ${this.mistakes === 1 ? 'was' : 'were'} tried.` : 'Stopped.';
    return this.mistakes ? `Trying ${this.mistakes === 1 ? counted : `up to ${counted} at once`}…` : 'Searching…';
  }
}
