/** The steps that wait to be kept, as every screen sees them; App sends them whenever the server is back. */

import { ask, server } from './api.svelte';
import { Unsent, type NewStep, type Refusal } from './unsent';

const AGAIN = 4000;

class Keeping {
  waiting = $state(0);
  /** Why the server keeps nothing just now; empty if it does, or is away. */
  trouble = $state('');
  refused = $state.raw<readonly Refusal[]>([]);
  #unsent = new Unsent(
    { getItem: (name) => localStorage.getItem(name), setItem: (name, text) => localStorage.setItem(name, text) },
    ({ method, path, body }) => ask(path, body, { method }),
    // Undefined where the page came over a plain connection, as in a club's network.
    async (work) => ('locks' in navigator ? await navigator.locks.request('nightfold-unsent', work) : work()),
  );
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor() {
    this.#look();
  }

  /** Write steps down and send them; true once all that waited is kept. */
  async put(...steps: readonly NewStep[]): Promise<boolean> {
    this.#unsent.put(...steps);
    this.#look();
    return this.send();
  }

  async send(): Promise<boolean> {
    clearTimeout(this.#timer);
    let sent = await this.#unsent.send();
    // What was put while the last step was on its way.
    if (!sent.waiting && !sent.sentence && this.#unsent.waiting.length && server.up) sent = await this.#unsent.send();
    this.trouble = sent.sentence;
    if (sent.sentence) this.#timer = setTimeout(() => void this.send(), AGAIN);
    this.#look();
    return this.waiting === 0;
  }

  forget(): void {
    this.#unsent.forget();
    this.#look();
  }

  #look(): void {
    this.waiting = this.#unsent.waiting.length;
    this.refused = this.#unsent.refused;
  }
}

export const keeping = new Keeping();
