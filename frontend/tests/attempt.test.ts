/** The clock of an attempt, times as results count, and steps that wait to be kept. */

import { describe, expect, it } from 'vitest';
import { asResult, clock, measured, readClock, running, wholeClock } from '../src/lib/times';
import { newId, Unsent, type NewStep, type Step } from '../src/lib/unsent';
import { bounces, giveUp, goneOn, Held, HOLD_MS, memoMs, phaseOf, press, READY, timeLimit, totalMs, uncover } from '../src/screens/attempt/clock';
import { spokenLetters } from '../src/screens/attempt/cues';
import { accountsOf } from '../src/screens/attempt/explained';
import { choicesFrom } from '../src/screens/attempt/options.svelte';

describe('times', () => {
  it('are cut to hundredths under ten minutes and rounded to seconds from there on (WCA 9f1, 9f2)', () => {
    expect([0, 9, 10, 83_459, 599_999].map(asResult)).toEqual([0, 0, 1, 8345, 59_999]);
    expect([600_000, 600_499, 600_500, 724_499, 724_500].map(asResult)).toEqual([60_000, 60_000, 60_100, 72_400, 72_500]);
  });
  it('are written as results are', () => {
    expect([5, 4705, 6000, 8345, 59_999, 60_000, 72_400, 360_000].map(clock)).toEqual(['0.05', '47.05', '1:00.00', '1:23.45', '9:59.99', '10:00', '12:04', '1:00:00']);
    expect([47, 724, 3600, 3725].map(wholeClock)).toEqual(['0:47', '12:04', '1:00:00', '1:02:05']);
    expect(measured(83_459)).toBe('1:23.45');
    expect([-3, 0, 999, 1000, 61_999].map(running)).toEqual(['0:00', '0:00', '0:00', '0:01', '1:01']);
  });
  it('are read as people write them', () => {
    expect(['47.05', '83.4', ' 1:23.45 ', '12:04', '1:00:00', '0'].map(readClock)).toEqual([47_050, 83_400, 83_450, 724_000, 3_600_000, 0]);
    expect(['', '1:7', '1:61', '1:2:03', ':30', '4.', '1,5', '-1'].map(readClock)).toEqual([null, null, null, null, null, null, null, null]);
  });
});

describe('the clock', () => {
  it('goes from memorising to execution to the end', () => {
    const started = press(READY, 100.7);
    const covered = press(started, 5_100.9);
    const stopped = press(covered, 9_000);
    expect([READY, started, covered, stopped].map(phaseOf)).toEqual(['ready', 'memorising', 'executing', 'stopped']);
    expect(memoMs(stopped)).toBe(5000);
    expect(totalMs(stopped, 1e9)).toBe(8899);
    expect(press(stopped, 20_000)).toEqual(stopped);
    expect(totalMs(covered, 6_100.7)).toBe(6000);
    expect(totalMs(READY, 5)).toBeNull();
  });
  it('never runs backwards', () => {
    expect(press(press(READY, 100), 50).covered).toBe(100);
    expect(press(press(press(READY, 100), 200), 50).stopped).toBe(200);
  });
  it('lets the blindfold come off again, but only while it is on', () => {
    const covered = press(press(READY, 0), 1000);
    expect(memoMs(press(uncover(covered), 3000))).toBe(3000);
    expect(uncover(press(READY, 0))).toEqual(press(READY, 0));
    const stopped = press(covered, 2000);
    expect(uncover(stopped)).toEqual(stopped);
  });
  it('can be given up in either phase', () => {
    expect(giveUp(press(READY, 0), 700)).toEqual({ started: 0, covered: null, stopped: 700 });
    expect(giveUp(press(press(READY, 0), 500), 700).stopped).toBe(700);
    expect(giveUp(READY, 700)).toEqual(READY);
  });
  it('goes on where it would stand', () => {
    const memorising = goneOn(60_000, null, 1_000);
    expect(phaseOf(memorising)).toBe('memorising');
    expect(totalMs(memorising, 2_000)).toBe(61_000);
    const executing = goneOn(60_000, 40_000, 1_000);
    expect(phaseOf(executing)).toBe('executing');
    expect(memoMs(executing)).toBe(40_000);
  });
  it('takes presses at once after a change for the same hand', () => {
    const started = press(READY, 1000);
    expect(bounces(READY, 0)).toBe(false);
    expect(bounces(started, 1100)).toBe(true);
    expect(bounces(started, 1400)).toBe(false);
    expect(bounces(press(started, 5000), 5100)).toBe(true);
  });
  it('starts by letting go after half a second, not by a slip', () => {
    const held = new Held();
    held.press(0);
    held.press(300); // repeated by the keyboard: still the same press
    expect(held.armed(HOLD_MS - 1)).toBe(false);
    expect(held.release(HOLD_MS - 1)).toBe(false);
    held.press(1000);
    expect(held.release(1000 + HOLD_MS)).toBe(true);
    expect(held.release(3000)).toBe(false);
    held.press(4000);
    held.cancel();
    expect(held.release(5000)).toBe(false);
  });
  it('knows the limit for many cubes (WCA H1b)', () => {
    expect([2, 5, 6, 40].map(timeLimit)).toEqual([1200, 3000, 3600, 3600]);
  });
});

class Shelf {
  kept = new Map<string, string>();
  forbids = false;
  getItem(name: string): string | null {
    if (this.forbids) throw new Error('forbidden');
    return this.kept.get(name) ?? null;
  }
  setItem(name: string, text: string): void {
    if (this.forbids) throw new Error('forbidden');
    this.kept.set(name, text);
  }
}

class Fault extends Error {
  constructor(
    message: string,
    readonly status: number,
  ) {
    super(message);
  }
}

const step = (path: string): NewStep => ({ method: 'PATCH', path, body: { of: path } });

describe('what waits to be kept', () => {
  it('is sent in order and let go of', async () => {
    const sent: string[] = [];
    const unsent = new Unsent(new Shelf(), async ({ path }) => sent.push(path));
    unsent.put(step('a'), step('b'));
    unsent.put(step('c'));
    expect(unsent.waiting.map(({ path }) => path)).toEqual(['a', 'b', 'c']);
    expect(await unsent.send()).toEqual({ waiting: 0, sentence: '' });
    expect(sent).toEqual(['a', 'b', 'c']);
    expect(unsent.waiting).toEqual([]);
  });
  it('waits, in order, while the server is away, also for the next page', async () => {
    const shelf = new Shelf();
    let away = true;
    const sent: string[] = [];
    const send = async ({ path }: Step): Promise<void> => {
      if (away && path === 'b') throw new Fault('gone', 0);
      sent.push(path);
    };
    const first = new Unsent(shelf, send);
    first.put(step('a'), step('b'), step('c'));
    expect(await first.send()).toEqual({ waiting: 2, sentence: '' });
    const after = new Unsent(shelf, send);
    after.put(step('d'));
    away = false;
    expect(await after.send()).toEqual({ waiting: 0, sentence: '' });
    expect(sent).toEqual(['a', 'b', 'c', 'd']);
  });
  it.each([401, 429, 500, 503, 507])('waits where the server cannot keep it just now (%i), and says why', async (status) => {
    const unsent = new Unsent(new Shelf(), () => Promise.reject(new Fault('The disk is full.', status)));
    unsent.put(step('a'));
    expect(await unsent.send()).toEqual({ waiting: 1, sentence: 'The disk is full.' });
    expect(unsent.refused).toEqual([]);
  });
  it('sets aside what the server will never have, with its sentence, and goes on', async () => {
    const sent: string[] = [];
    const unsent = new Unsent(new Shelf(), async ({ path }) => {
      if (path === 'a') throw new Fault('there is no attempt a', 404);
      sent.push(path);
    });
    unsent.put(step('a'), step('b'));
    expect(await unsent.send()).toEqual({ waiting: 0, sentence: '' });
    expect(sent).toEqual(['b']);
    expect(unsent.refused.map(({ step: { path, body }, sentence }) => [path, body, sentence])).toEqual([['a', { of: 'a' }, 'there is no attempt a']]);
    unsent.forget();
    expect(unsent.refused).toEqual([]);
  });
  it('is sent once though it is asked twice, and what comes meanwhile after it', async () => {
    const sent: string[] = [];
    let open = (): void => undefined;
    const gate = new Promise<void>((resolve) => (open = resolve));
    const unsent = new Unsent(new Shelf(), async ({ path }) => {
      await gate;
      sent.push(path);
    });
    unsent.put(step('a'));
    const both = [unsent.send(), unsent.send()];
    unsent.put(step('b'));
    open();
    await Promise.all(both);
    expect(sent).toEqual(['a', 'b']);
  });
  it('lives as long as the page where the browser keeps nothing', async () => {
    const shelf = new Shelf();
    shelf.forbids = true;
    const sent: string[] = [];
    const unsent = new Unsent(shelf, async ({ path }) => sent.push(path));
    unsent.put(step('a'), step('b'));
    expect(unsent.waiting).toHaveLength(2);
    await unsent.send();
    expect(sent).toEqual(['a', 'b']);
  });
  it('survives a shelf that someone has spoilt', () => {
    const shelf = new Shelf();
    shelf.kept.set('nightfold-unsent', '{"half');
    expect(new Unsent(shelf, async () => undefined).waiting).toEqual([]);
  });
  it('has ids of its own that are UUIDs', () => {
    const ids = Array.from({ length: 50 }, newId);
    expect(new Set(ids).size).toBe(50);
    for (const id of ids) expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  });
});

describe('choices', () => {
  it('are taken up as far as they are what they should be', () => {
    const found = choicesFrom('{"way": "many", "count": 7, "beeps": "yes", "many": ["R U"], "stranger": 1}');
    expect(found).toMatchObject({ way: 'many', count: 7, beeps: false, many: ['R U'] });
    expect(found).not.toHaveProperty('stranger');
  });
  it('leave sound, voice and darkness off unless chosen', () => {
    for (const text of [null, '', '[]', 'null', '{']) expect(choicesFrom(text)).toMatchObject({ beeps: false, spoken: false, letters: false, dark: false, onePress: false });
  });
});

it('letters are read out in pairs', () => {
  expect(spokenLetters('edges', ['A', 'B', 'C'])).toBe('edges: A, B. C.');
  expect(spokenLetters('corners', [])).toBe('corners: nothing.');
});

it('kept mistakes come together again by their explanation', () => {
  const mistake = { probability: 0.5, kind: 'letter-left-out', orbit: 'edges', at: 1, letter: 'B' };
  const found = accountsOf([
    { ...mistake, explanation: 1, probability: 0.2, said: {} },
    { ...mistake, explanation: 0, said: { say: 'first', felt: 'a jolt', hint: 'slowly' } },
    { ...mistake, explanation: 0, said: { say: 'second' } },
  ]);
  expect(found.map(({ probability, mistakes }) => [probability, mistakes.map(({ say }) => say)])).toEqual([
    [0.5, ['first', 'second']],
    [0.2, ['letter-left-out edges B']],
  ]);
  expect(found[0]?.mistakes[0]).toEqual({ say: 'first', felt: 'a jolt', hint: 'slowly' });
});
