/** A playhead that moves: joins the pure player to the clock and to the colours of a cube. */

import { apply, type Turn } from '../lib/cube';
import { stillness } from '../lib/media.svelte';
import { advance, nextStop, nudge, pause, play, resting, runTo, seek, type Playhead, type Timeline } from '../lib/player';

export class Playing {
  head = $state.raw<Playhead>(resting(0));
  readonly #line: () => Timeline;
  readonly #start: () => readonly string[];
  readonly #size: number;
  #frame = 0;
  #before = 0;

  /** `line` and `start` may read state: the turns, and the colours of all places before the first of them. */
  constructor(line: () => Timeline, start: () => readonly string[], size = 3) {
    this.#line = line;
    this.#start = start;
    this.#size = size;
  }

  readonly line: Timeline = $derived.by(() => this.#line());
  readonly running: boolean = $derived(this.head.goal !== null);
  /** Whole turns done. */
  readonly done: number = $derived(Math.min(Math.floor(this.head.at), this.line.turns.length));
  /** What the places show when `done` turns are done. */
  readonly colours: readonly string[] = $derived.by(() =>
    apply(this.#start(), this.line.turns.slice(0, this.done), this.#size),
  );
  readonly turning: { turn: Turn; part: number } | null = $derived.by(() => {
    const turn = this.line.turns[this.done];
    const part = this.head.at - this.done;
    return turn && part > 0 ? { turn, part } : null;
  });

  play = (): void => this.#go(play(this.head, this.line));
  pause = (): void => this.#go(stillness.matches ? { ...this.head, at: this.done, goal: null } : pause(this.head, this.line));
  toggle = (): void => (this.running ? this.pause() : this.play());
  /** One turn on or back, in motion; at once where motion is not wanted. */
  step = (by: 1 | -1): void => (stillness.matches ? this.seek(this.done + by) : this.#go(nudge(this.head, this.line, by)));
  /** To the next step of the plan or the one before, at once. */
  skip = (by: 1 | -1): void => this.#go(nextStop(this.head, this.line, by));
  seek = (at: number): void => this.#go(seek(this.head, this.line, at));
  runTo = (at: number): void => (stillness.matches ? this.seek(at) : this.#go(runTo(this.head, this.line, at)));
  speed = (speed: number): void => void (this.head = { ...this.head, speed });

  stop(): void {
    cancelAnimationFrame(this.#frame);
    this.#frame = 0;
  }

  #go(head: Playhead): void {
    this.head = head;
    if (head.goal === null || this.#frame) return;
    this.#before = performance.now();
    this.#frame = requestAnimationFrame(this.#tick);
  }

  readonly #tick = (now: number): void => {
    // A page that was hidden for a while goes on where it was.
    const seconds = Math.min(Math.max(now - this.#before, 0) / 1000, 0.1);
    this.#before = now;
    this.head = advance(this.head, this.line, seconds);
    this.#frame = this.head.goal === null ? 0 : requestAnimationFrame(this.#tick);
  };
}
