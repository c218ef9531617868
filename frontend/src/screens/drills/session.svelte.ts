/** A run under way: asks the server for questions, measures, has answers judged, and loses none of them. */

import { ApiError, ask, server } from '../../lib/api.svelte';
import { keeping } from '../../lib/keeping.svelte';
import type { Judged, Question } from '../../lib/types';
import { newId } from '../../lib/unsent';
import { cutShort, following, isLong, shareOf, tally, type Given, type Stretch } from './run';

/** With what one drills. */
export interface TableIn {
  readonly method: string;
  readonly lettering: string | null;
  readonly hold: string | null;
  readonly solver: string;
}

/** `look` and `wait` come before an answer is asked for where something is to be remembered. */
export type Phase = 'choosing' | 'fetching' | 'look' | 'wait' | 'asked' | 'judged' | 'over';

/** An answer as it is sent. */
interface Body extends TableIn {
  readonly id: string;
  readonly ticket: string;
  readonly given: string;
  readonly ms: number;
  readonly run: string | null;
}

/** A run as the browser keeps it, so that a page that is loaded again goes on where it was. */
export interface Left {
  readonly when: number;
  readonly page: string;
  readonly phase: Phase;
  readonly question: Question | null;
  readonly given: readonly Given[];
  readonly stretches: readonly Stretch[];
  readonly at: number;
  readonly asked: number;
  readonly draft: readonly string[];
  readonly late: boolean;
  readonly table: TableIn;
  readonly run: string | null;
  /** What is on its way to the server, or waits for its judgement. */
  readonly sent: Body | null;
  readonly waiting: Body | null;
  /** Milliseconds: since when an answer was waited for; until the end of all, and of the stretch. */
  readonly elapsed: number;
  readonly end: number | null;
  readonly stretchEnd: number | null;
  readonly minutes: number | null;
}

const LEFT = 'nightfold-drill';
/** Which loading of the page this is. */
const PAGE = newId();
/** The page was loaded again, or come back to: then one wants to be where one was. */
const cameBack = (): boolean => (performance.getEntriesByType('navigation')[0] as PerformanceNavigationTiming | undefined)?.type !== 'navigate';
/** A run that was left longer ago is over; what was answered is told. */
const TOO_LONG_AGO = 3 * 3_600_000;

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
  /** In how many minutes no more is asked; null without an end. */
  minutesLeft = $state<number | null>(null);
  /** The minutes were over before all was asked. */
  late = $state(false);
  /** The page was loaded again, or come back to, in the midst of it. */
  resumed = $state(false);
  /** A run that was left in this window, when the page was opened afresh: it can be gone on with. */
  waits = $state.raw<Left | null>(null);
  /** For how many minutes one wanted to practise. */
  minutes: number | null = null;
  /** What is typed of an answer, line by line. */
  draft: string[] = [];
  #table: TableIn = { method: '', lettering: null, hold: null, solver: '' };
  #wanted: string[] = [];
  #run: string | null = null;
  #begun = 0;
  #number = 0;
  /** By the clock of the page: when no more is asked, in all and in this stretch. */
  #end: number | null = null;
  #stretchEnd: number | null = null;
  #sent: Body | null = null;

  readonly tally = $derived(tally(this.given));
  readonly last = $derived(this.given.at(-1) ?? null);
  readonly stretch = $derived(this.stretches[this.at] ?? null);
  readonly whole = $derived(this.stretches.reduce((sum, { count }) => sum + count, 0));
  readonly long = $derived(isLong(this.stretches));

  /** Ask all stretches; with `minutes`, nothing more once these are over, and each has its share of them. */
  async start(stretches: readonly Stretch[], table: TableIn, minutes: number | null = null): Promise<void> {
    if (this.waits) {
      this.#take(this.waits);
      this.#close();
    }
    this.stretches = stretches;
    this.minutes = minutes;
    this.#end = minutes === null ? null : performance.now() + 60_000 * minutes;
    this.late = false;
    this.resumed = false;
    this.draft = [];
    this.#waiting = null;
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
    this.keep();
  }

  recall(): void {
    this.phase = 'asked';
    this.#begun = performance.now();
    this.keep();
  }

  /** For how many milliseconds an answer has been waited for. */
  get elapsed(): number {
    return this.phase === 'asked' ? performance.now() - this.#begun : 0;
  }

  /** Send an answer; one that cannot be read is refused, and may be given again. */
  async answer(text: string): Promise<void> {
    const question = this.question;
    if (this.phase !== 'asked' || !question || this.sending) return;
    const ms = Math.min(Math.round(this.elapsed), 999_999_999);
    await this.#deliver(question, { ...this.#table, id: newId(), ticket: question.ticket, given: text, ms, run: this.#run });
  }

  async #deliver(question: Question, body: Body): Promise<void> {
    const number = this.#number;
    this.sending = true;
    this.trouble = '';
    this.#sent = body;
    this.keep();
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
        this.#sent = null;
        this.keep();
        return;
      }
      void keeping.put({ method: 'POST', path: 'drills/answer', body });
    }
    if (number !== this.#number) return;
    this.sending = false;
    this.#sent = null;
    this.given = [...this.given, { id: body.id, question, text: body.given, ms: body.ms, judged }];
    this.asked++;
    this.phase = 'judged';
    this.#waiting = judged ? null : body;
    this.keep();
  }

  #waiting: Body | null = null;

  /** The server is back: what it thinks of the answer that waited. Asking twice keeps it once. */
  async judge(): Promise<void> {
    const body = this.#waiting;
    if (!body || !server.up) return;
    try {
      if (!(await keeping.send())) return;
      const judged = await ask<Judged>('drills/answer', body);
      this.#waiting = null;
      this.given = this.given.map((one) => (one.id === body.id ? { ...one, judged } : one));
      this.keep();
    } catch {
      // It is kept, or waits to be; only its sentence is not known.
    }
  }

  async next(): Promise<void> {
    this.resumed = false;
    this.draft = [];
    const now = performance.now();
    if (this.#end !== null && now >= this.#end && following(this.stretches, this.at, this.asked)) {
      this.late = true;
      await this.end();
      return;
    }
    if (this.#stretchEnd !== null && now >= this.#stretchEnd) this.stretches = cutShort(this.stretches, this.at, this.asked);
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
    this.#sent = null;
    this.trouble = '';
    this.#close();
    this.phase = this.given.length ? 'over' : 'choosing';
    this.keep();
  }

  clear(): void {
    this.phase = 'choosing';
    this.question = null;
    this.trouble = '';
    this.keep();
  }

  again(): Promise<void> {
    return this.start(this.stretches, this.#table, this.minutes);
  }

  /** One goes to another screen: the run waits, and goes on when one comes back. A summary that was seen is over. */
  leave(): void {
    this.#number++;
    if (this.phase === 'over') this.clear();
    else this.keep();
    this.#gone = true;
  }

  /** What still comes back to a session that was left is for the one that goes on with its run. */
  #gone = false;

  /** Write down where it is; nothing while no run is under way. */
  keep(): void {
    if (this.#gone || this.waits) return;
    const now = performance.now();
    const left: Left = {
      when: Date.now(),
      page: PAGE,
      phase: this.phase,
      question: this.question,
      given: this.given,
      stretches: this.stretches,
      at: this.at,
      asked: this.asked,
      draft: this.draft,
      late: this.late,
      table: this.#table,
      run: this.#run,
      sent: this.#sent,
      waiting: this.#waiting,
      elapsed: this.elapsed,
      end: this.#end === null ? null : this.#end - now,
      stretchEnd: this.#stretchEnd === null ? null : this.#stretchEnd - now,
      minutes: this.minutes,
    };
    try {
      if (this.phase === 'choosing') sessionStorage.removeItem(LEFT);
      else sessionStorage.setItem(LEFT, JSON.stringify(left));
    } catch {
      // Where the browser keeps nothing, a page that is loaded again begins anew; the answers are with the server.
    }
  }

  /** Look for a run that was under way in this window, and go on with it unless the page was opened afresh. */
  look(): void {
    try {
      const left = JSON.parse(sessionStorage.getItem(LEFT) ?? 'null') as Left | null;
      if (!left?.stretches[left.at] || !Array.isArray(left.given)) return;
      if (left.page === PAGE || cameBack()) this.resume(left);
      else if (left.phase !== 'over') this.waits = left;
    } catch {
      // What is kept there cannot be read, or nothing may be.
    }
  }

  /** Go on with a run where it was. Time away does not count. */
  resume(left: Left): void {
    this.#take(left);
    this.phase = left.phase;
    if (left.phase === 'over') return;
    if (Date.now() - left.when > TOO_LONG_AGO) {
      void this.end();
      return;
    }
    this.resumed = true;
    if (left.phase === 'fetching' || !left.question) void this.#again();
    else if (left.sent) void this.#deliver(left.question, left.sent);
    void this.judge();
  }

  #take(left: Left): void {
    this.waits = null;
    const now = performance.now();
    this.question = left.question;
    this.given = left.given;
    this.stretches = left.stretches;
    this.at = left.at;
    this.asked = left.asked;
    this.draft = [...left.draft];
    this.late = left.late;
    this.minutes = left.minutes;
    this.#table = left.table;
    this.#run = left.run;
    this.#wanted = [...left.stretches[left.at]!.subjects];
    this.#waiting = left.waiting;
    this.#begun = now - left.elapsed;
    this.#end = left.end === null ? null : now + left.end;
    this.#stretchEnd = left.stretchEnd === null ? null : now + left.stretchEnd;
    this.#tellTime();
  }

  async #again(): Promise<void> {
    if (this.#run || (await this.#begin())) await this.#fetch();
  }

  #tellTime(): void {
    this.minutesLeft = this.#end === null ? null : Math.max(0, Math.ceil((this.#end - performance.now()) / 60_000));
  }

  /** Keep that a run begins; false where one left meanwhile. */
  async #begin(): Promise<boolean> {
    const stretch = this.stretch;
    if (!stretch) return false;
    const number = ++this.#number;
    this.#wanted = [...stretch.subjects];
    this.#run = null;
    this.phase = 'fetching';
    const now = performance.now();
    this.#stretchEnd = this.#end === null ? null : now + shareOf(this.stretches, this.at, this.#end - now);
    const { id } = await ask<{ id: string }>(`drills/${stretch.exercise}/runs`, this.#table).catch(() => ({ id: null }));
    this.#run = id;
    if (number === this.#number) {
      this.keep();
      return true;
    }
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
    this.#tellTime();
    this.keep();
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
      this.keep();
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
