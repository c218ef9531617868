/**
 * The clock of an attempt: it starts with memorising, which is part of the time (WCA B1a), notes when the eyes are
 * covered, and stops at the end. Moments are milliseconds on whatever clock the caller reads.
 */

/** The space bar, or the target, must be held so long before letting go of it starts the clock. */
export const HOLD_MS = 500;
/** Hands that come down twice: after a change nothing is taken for another press for so long. */
export const BOUNCE_MS = 350;

export type Phase = 'ready' | 'memorising' | 'executing' | 'stopped';

export interface Timing {
  readonly started: number | null;
  readonly covered: number | null;
  readonly stopped: number | null;
}

export const READY: Timing = { started: null, covered: null, stopped: null };

export function phaseOf({ started, covered, stopped }: Timing): Phase {
  if (started === null) return 'ready';
  if (stopped !== null) return 'stopped';
  return covered === null ? 'memorising' : 'executing';
}

/** The next moment: start, then eyes covered, then stop. A moment before the last one is taken to be that. */
export function press(timing: Timing, now: number): Timing {
  switch (phaseOf(timing)) {
    case 'ready':
      return { ...timing, started: now };
    case 'memorising':
      return { ...timing, covered: Math.max(now, timing.started ?? 0) };
    case 'executing':
      return { ...timing, stopped: Math.max(now, timing.covered ?? 0) };
    case 'stopped':
      return timing;
  }
}

/** The blindfold comes off again, as it may until the first turn (WCA B4): memorising goes on. */
export const uncover = (timing: Timing): Timing => (phaseOf(timing) === 'executing' ? { ...timing, covered: null } : timing);

/** Stop at once, in whatever phase. */
export function giveUp(timing: Timing, now: number): Timing {
  const phase = phaseOf(timing);
  return phase === 'memorising' || phase === 'executing' ? { ...timing, stopped: Math.max(now, timing.covered ?? timing.started ?? 0) } : timing;
}

/** Whole milliseconds until the eyes were covered; null where they were not. */
export const memoMs = ({ started, covered }: Timing): number | null => (started === null || covered === null ? null : Math.floor(covered - started));

/** Whole milliseconds until the end, or until `now`; null before the start. */
export const totalMs = ({ started, stopped }: Timing, now: number): number | null => (started === null ? null : Math.max(0, Math.floor((stopped ?? now) - started)));

/** The clock of an attempt that has run for so long already. */
export function goneOn(runningMs: number, memo: number | null, now: number): Timing {
  const started = now - runningMs;
  return { started, covered: memo === null ? null : started + memo, stopped: null };
}

/** A key or finger that is held: letting go starts the clock only if it was held long enough. */
export class Held {
  #since: number | null = null;

  press(now: number): void {
    this.#since ??= now;
  }

  get pressed(): boolean {
    return this.#since !== null;
  }

  armed(now: number): boolean {
    return this.#since !== null && now - this.#since >= HOLD_MS;
  }

  /** Let go; whether the clock starts now. */
  release(now: number): boolean {
    const starts = this.armed(now);
    this.#since = null;
    return starts;
  }

  cancel(): void {
    this.#since = null;
  }
}

/** Seconds allowed for many cubes: ten minutes a cube below six, else an hour (WCA H1b). */
export const timeLimit = (cubes: number): number => 60 * (cubes < 6 ? 10 * cubes : 60);

/** Whether a press follows a change so closely that it is the same hand coming down twice. */
export function bounces({ started, covered, stopped }: Timing, now: number): boolean {
  const last = stopped ?? covered ?? started;
  return last !== null && now - last < BOUNCE_MS;
}
