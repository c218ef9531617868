/** One attempt from its start to its outcome: the clock, and every step of it kept when it happens. */

import { address } from '../../lib/address.svelte';
import { ask } from '../../lib/api.svelte';
import { hand } from '../../lib/hand.svelte';
import { keeping } from '../../lib/keeping.svelte';
import { measured } from '../../lib/times';
import type { AttemptRecord, CubeIn, Outcome, SeriesRecord } from '../../lib/types';
import { newId, type NewStep } from '../../lib/unsent';
import { giveUp, goneOn, memoMs, phaseOf, press, READY, timeLimit, totalMs, uncover, type Phase, type Timing } from './clock';
import { cue } from './cues';
import { options, type Series } from './options.svelte';

/** A series as far as the next attempt needs it. */
type OpenSeries = Pick<SeriesRecord, 'id' | 'kind'>;

/** Whether an attempt counts in a series: one at many cubes has points, so it can only be part of an evening. */
const countsIn = (kind: Series, many: boolean): boolean => kind === 'evening' || (!many && kind !== 'single');

const MOST_MS = 10 ** 10 - 1;

/** A time as it is kept: of many cubes no more than the limit, at which the clock has stopped by itself. */
export const atMost = (ms: number, cubes: number): number => Math.min(ms, cubes > 1 ? 1000 * timeLimit(cubes) : MOST_MS);

/** The moment on the clock on the wall that a moment of the page's own clock was. */
const onTheWall = (moment: number): string => new Date(Date.now() - (performance.now() - moment)).toISOString();

export class Session {
  timing = $state.raw<Timing>(READY);
  id = $state('');
  outcome = $state<Outcome>('unfinished');
  scrambles = $state.raw<readonly string[]>([]);
  /** Of many cubes, how each came out. */
  cubes = $state.raw<readonly Outcome[]>([]);
  /** The attempt as the logbook has it. */
  record = $state.raw<AttemptRecord | null>(null);
  series = $state.raw<SeriesRecord | null>(null);
  #open: OpenSeries | null = null;

  get phase(): Phase {
    return phaseOf(this.timing);
  }

  /** The result as the logbook writes it; before it has answered, the time. */
  get result(): string {
    const ms = totalMs(this.timing, 0);
    if (this.record && this.record.outcome === this.outcome && this.outcome !== 'unfinished') return this.record.result;
    return ms === null ? '' : measured(ms);
  }

  /** The next press: start, cover, stop. */
  press(moment: number): void {
    const before = this.phase;
    this.timing = press(this.timing, moment);
    if (this.phase === before) return;
    cue(this.phase, options.value);
    if (before === 'ready') this.#begin();
    else this.#change(before === 'memorising' ? { memo_ms: memoMs(this.timing) } : { memo_ms: memoMs(this.timing), total_ms: totalMs(this.timing, 0) });
  }

  uncover(): void {
    if (this.phase !== 'executing') return;
    this.timing = uncover(this.timing);
    cue(this.phase, options.value);
    this.#change({ uncovered: true });
  }

  /** Stop without having solved: at one cube that is a DNF, of many the rest may still count. */
  stop(moment: number, limit = false): void {
    this.timing = giveUp(this.timing, moment);
    cue(limit ? 'limit' : 'stopped', options.value);
    const told = { ...(this.timing.covered === null ? {} : { memo_ms: memoMs(this.timing) }), total_ms: totalMs(this.timing, 0) };
    if (this.scrambles.length > 1) this.#change(told);
    else {
      this.outcome = 'dnf';
      this.#change({ ...told, outcome: 'dnf' });
    }
  }

  judge(outcome: Outcome): void {
    this.outcome = outcome;
    this.#change({ outcome });
  }

  judgeCube(number: number, outcome: Outcome): void {
    this.cubes = this.cubes.with(number - 1, outcome);
    void this.#keep({ method: 'PUT', path: `attempts/${this.id}/cubes/${number}`, body: { outcome } });
  }

  /** An attempt that was not begun. */
  didNotStart(): void {
    this.timing = { started: performance.now(), covered: null, stopped: performance.now() };
    this.outcome = 'dns';
    this.#begin({ method: 'PATCH', body: { outcome: 'dns' } });
  }

  /** An attempt that another clock has timed: it is over, and only has to be judged. */
  elsewhere(total: number, memo: number | null): void {
    const stopped = performance.now();
    const started = stopped - total;
    this.timing = { started, covered: memo === null ? null : started + memo, stopped };
    this.#begin({ method: 'PATCH', body: { total_ms: total, ...(memo === null ? {} : { memo_ms: memo }) } });
  }

  /** Take up an attempt that the logbook has: running on, or to be judged. */
  take(record: AttemptRecord): void {
    this.record = record;
    this.id = record.id;
    this.outcome = record.outcome;
    this.scrambles = record.cubes.length ? record.cubes.map(({ scramble }) => scramble) : [record.scramble];
    this.cubes = record.cubes.map(({ outcome }) => outcome);
    const now = performance.now();
    const running = goneOn(record.running_ms ?? record.total_ms ?? 0, record.memo_ms, now);
    this.timing = record.running_ms === null ? { ...running, stopped: now } : running;
    address.set({ attempt: record.id, ...(record.cubes.length ? {} : { scramble: record.scramble, net: null }) });
    void this.#lookAtSeries();
  }

  /** Make ready for another. */
  clear(): void {
    this.timing = READY;
    this.id = '';
    this.outcome = 'unfinished';
    this.cubes = [];
    this.record = null;
    address.set({ attempt: null, final: null, left: null, performed: null, came: null });
  }

  /** The open series that the next attempt counts with: the newest of its kind that goes on, else a new one. */
  async findSeries(): Promise<void> {
    const { series, solver, evening } = options.value;
    this.#open = null;
    this.series = null;
    if (series === 'single') return;
    try {
      const known = await ask<SeriesRecord[]>(`series?most=20&solver=${encodeURIComponent(solver)}`);
      if (options.value.series !== series || options.value.solver !== solver) return;
      this.series = known.find((one) => one.kind === series && one.open) ?? null;
      this.#open = this.series;
      // It was named while the answer was on its way.
      if (this.series && options.value.evening !== evening) this.name(options.value.evening);
    } catch {
      // The server is away; a new series is begun, and kept when it is back.
    }
  }

  /** Call the evening so, the one that is open and those to come. */
  name(name: string): void {
    options.set({ evening: name });
    if (!this.series) return;
    this.series = { ...this.series, name };
    void keeping.put({ method: 'PATCH', path: `series/${this.series.id}`, body: { name } });
  }

  #begin(then?: { method: 'PATCH'; body: unknown }): void {
    this.id = newId();
    this.record = null;
    const many = this.scrambles.length > 1;
    const { solver, series: kind } = options.value;
    const started = onTheWall(this.timing.started ?? performance.now());
    const complete = this.series?.standing.complete ?? false;
    const counts = countsIn(kind, many);
    const fresh = counts && (this.#open?.kind !== kind || complete);
    if (fresh) {
      this.#open = { id: newId(), kind };
      this.series = null;
    }
    this.cubes = many ? this.scrambles.map((): Outcome => 'unfinished') : [];
    const { method, lettering = null, hold = null, breaks = null } = hand.cube ?? {};
    const cube: CubeIn = { scramble: this.scrambles[0] ?? '', ...(method ? { method } : {}), lettering, hold, breaks };
    const what = many ? { scrambles: this.scrambles, ...hand.reading } : { cube };
    void this.#keep(
      ...(fresh ? [{ method: 'POST' as const, path: 'series', body: { id: this.#open!.id, kind, started, solver, event: '333bf', name: kind === 'evening' ? options.value.evening : '' } }] : []),
      { method: 'POST', path: 'attempts', body: { id: this.id, started, solver, ...what, ...(counts ? { series: this.#open!.id } : {}) } },
      ...(then ? [{ ...then, path: `attempts/${this.id}` }] : []),
    );
    // What was dealt is used up.
    if (many) options.set({ many: [] });
    address.set({ attempt: this.id });
  }

  #change(body: Readonly<Record<string, unknown>>): void {
    const known = Object.fromEntries(Object.entries(body).map(([name, value]) => [name, typeof value === 'number' ? atMost(value, this.scrambles.length) : value]));
    void this.#keep({ method: 'PATCH', path: `attempts/${this.id}`, body: known });
  }

  async #keep(...steps: readonly NewStep[]): Promise<void> {
    const mine = this.id;
    if ((await keeping.put(...steps)) && this.id === mine) await this.look();
  }

  /** Read once more what the logbook has, when everything is kept. */
  async look(): Promise<void> {
    const mine = this.id;
    if (!mine || keeping.waiting) return;
    try {
      const found = await ask<AttemptRecord>(`attempts/${mine}`);
      if (this.id !== mine || keeping.waiting) return;
      this.record = found;
      if (this.phase === 'stopped' && this.scrambles.length > 1) this.outcome = found.outcome;
      await this.#lookAtSeries();
    } catch {
      // It is looked at again when the server is back.
    }
  }

  async #lookAtSeries(): Promise<void> {
    const wanted = this.record?.series;
    if (!wanted) return;
    const found = await ask<SeriesRecord>(`series/${wanted}`).catch(() => null);
    if (found && this.record?.series === wanted) {
      this.series = found;
      if (found.kind === options.value.series) this.#open = found;
    }
  }
}
