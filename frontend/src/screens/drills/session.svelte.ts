/** A run under way: asks the server for questions, measures, has answers judged, and loses none of them. */

import { ApiError, ask, server } from '../../lib/api.svelte';
import { keeping } from '../../lib/keeping.svelte';
import type { Judged, Question } from '../../lib/types';
import { newId } from '../../lib/unsent';
import { following, tally, type Given, type Stretch } from './run';

/** With what one drills. */
export interface TableIn {
  readonly method: string;
  readonly lettering: string | null;
  readonly hold: string | null;
  readonly solver: string;
}

/** `look` and `wait` come before an answer is asked for where something is to be remembered. */
export type Phase = 'choosing' | 'fetching' | 'look' | 'wait' | 'asked' | 'judged' | 'over';

export class Session {
  phase = $state<Phase>('choosing');
  question = $state.raw<Question | null>(null);
  given = $state.raw<readonly Given[]>([]);
  stretches = $state.raw<readonly Stretch[]>([]);
  /** Of which stretch the question is, and the how manieth. */
  at = $state(0);
  asked = $state(0);
  trouble = $state('');
  /** The answer is on its way. */
  sending = $state(false);
  #table: TableIn = { method: '', lettering: null, hold: null, solver: '' };
  #wanted: string[] = [];
  #run: string | null = null;
  #begun = 0;
  #number = 0;

  readonly tally = $derived(tally(this.given));
  readonly last = $derived(this.given.at(-1) ?? null);
  readonly stretch = $derived(this.stretches[this.at] ?? null);

  async start(stretches: readonly Stretch[], table: TableIn): Promise<void> {
    this.stretches = stretches;
    this.#table = table;
    this.given = [];
    this.at = 0;
    this.asked = 0;
    this.question = null;
    if (await this.#begin()) await this.#fetch();
  }

  /** What is to be remembered was looked at. */
  looked(): void {
    if (this.phase !== 'look') return;
    if (this.question?.delay) this.phase = 'wait';
    else this.recall();
  }

  recall(): void {
    this.phase = 'asked';
    this.#begun = performance.now();
  }

  /** Send an answer; one that cannot be read is refused, and may be given again. */
  async answer(text: string): Promise<void> {
    const question = this.question;
    if (this.phase !== 'asked' || !question || this.sending) return;
    const ms = Math.min(Math.round(performance.now() - this.#begun), 999_999_999);
    const body = { ...this.#table, id: newId(), ticket: question.ticket, given: text, ms, run: this.#run };
    const number = this.#number;
    this.sending = true;
    this.trouble = '';
    let judged: Judged | null = null;
    try {
      // What waits from before goes first, so that cards are scheduled in the order in which they were answered.
      if (keeping.waiting) await keeping.send();
      judged = await ask<Judged>('drills/answer', body);
    } catch (error) {
      const status = error instanceof ApiError ? error.status : 0;
      if (number !== this.#number) return;
      if (status && status < 500) {
        this.trouble = error instanceof Error ? error.message : String(error);
        this.sending = false;
        return;
      }
      void keeping.put({ method: 'POST', path: 'drills/answer', body });
    }
    if (number !== this.#number) return;
    this.sending = false;
    this.given = [...this.given, { id: body.id, question, text, ms, judged }];
    this.asked++;
    this.phase = 'judged';
    this.#waiting = judged ? null : body;
  }

  #waiting: { id: string } | null = null;

  /** The server is back: what it thinks of the answer that waited. Asking twice keeps it once. */
  async judge(): Promise<void> {
    const body = this.#waiting;
    if (!body || !server.up) return;
    try {
      if (!(await keeping.send())) return;
      const judged = await ask<Judged>('drills/answer', body);
      this.#waiting = null;
      this.given = this.given.map((one) => (one.id === body.id ? { ...one, judged } : one));
    } catch {
      // It is kept, or waits to be; only its sentence is not known.
    }
  }

  async next(): Promise<void> {
    const place = following(this.stretches, this.at, this.asked);
    if (!place) {
      await this.end();
      return;
    }
    if (place.at !== this.at) {
      this.#close();
      this.at = place.at;
      this.asked = 0;
      this.question = null;
      if (!(await this.#begin())) return;
    }
    await this.#fetch();
  }

  /** Stop here; what was answered is kept, and the summary tells of it. Without an answer one is back at the choice. */
  async end(): Promise<void> {
    this.#number++;
    this.sending = false;
    this.trouble = '';
    this.#close();
    this.phase = this.given.length ? 'over' : 'choosing';
  }

  clear(): void {
    this.phase = 'choosing';
    this.question = null;
    this.trouble = '';
  }

  again(): Promise<void> {
    return this.start(this.stretches, this.#table);
  }

  /** Keep that a run begins; false where one left meanwhile. */
  async #begin(): Promise<boolean> {
    const stretch = this.stretch;
    if (!stretch) return false;
    const number = ++this.#number;
    this.#wanted = [...stretch.subjects];
    this.#run = null;
    this.phase = 'fetching';
    const { id } = await ask<{ id: string }>(`drills/${stretch.exercise}/runs`, this.#table).catch(() => ({ id: null }));
    this.#run = id;
    if (number === this.#number) return true;
    this.#close();
    return false;
  }

  #close(): void {
    if (!this.#run) return;
    const mine = this.given.filter(({ question }) => question.exercise === this.stretch?.exercise).slice(-this.asked || Infinity);
    const done = tally(this.asked ? mine : []);
    void keeping.put({ method: 'PATCH', path: `drills/runs/${this.#run}`, body: { asked: done.asked + done.waiting, right: done.right } });
    this.#run = null;
  }

  async #fetch(): Promise<void> {
    const stretch = this.stretch;
    if (!stretch) return;
    const number = ++this.#number;
    this.trouble = '';
    this.phase = 'fetching';
    const after = this.question?.ticket ?? null;
    try {
      const question = await ask<Question>(`drills/${stretch.exercise}/next`, {
        ...this.#table,
        orbit: stretch.orbit,
        level: stretch.level,
        wanted: this.#wanted.slice(this.asked),
        after,
        shown: stretch.shown ?? null,
        delay: stretch.delay ?? null,
      });
      if (number !== this.#number) return;
      this.question = question;
      if (question.show.length) this.phase = 'look';
      else this.recall();
    } catch (error) {
      if (number !== this.#number) return;
      this.trouble = error instanceof Error ? error.message : String(error);
    }
  }

  /** Ask for the question again that could not be had. */
  retry(): Promise<void> {
    return this.#fetch();
  }
}
