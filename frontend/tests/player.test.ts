import { describe, expect, it } from 'vitest';
import { apply, parseTurns, solved } from '../src/lib/cube';
import { advance, nextStop, nudge, pause, play, readingPlace, resting, runTo, seek, stepSpan, stops, stretchAt, timeline } from '../src/lib/player';
import fixtures from './fixtures.json';

const t = (text: string) => parseTurns(text, 3);
const line = timeline(t('R U2'), t('x'), [
  { setup: t('D L'), swap: t("R U R' U'"), undo: t("L' D'") },
  { setup: [], swap: t('F2'), undo: [] },
]);

describe('the timeline', () => {
  it('joins scramble, hold and steps without gaps', () => {
    expect(line.turns).toHaveLength(12);
    expect(line.stretches[0]!.from).toBe(0);
    line.stretches.forEach((s, i) => expect(s.to).toBe(line.stretches[i + 1]?.from ?? 12));
    expect(readingPlace(line)).toBe(3);
    expect(stops(line)).toEqual([0, 2, 3, 11, 12]);
    expect(stepSpan(line, 0)).toEqual({ from: 3, to: 11 });
    expect(stepSpan(line, 7)).toBeNull();
    expect(stretchAt(line, 5)).toMatchObject({ kind: 'swap', step: 0 });
    expect(stretchAt(line, 12)).toBeNull();
  });

  it('solves a cube by the plan that Python made', () => {
    const solve = timeline(t(fixtures.plan.scramble), [], [{ setup: [], swap: t(fixtures.plan.solution), undo: [] }]);
    expect(apply(solved(3), solve.turns, 3)).toEqual(solved(3));
  });

  it('has an end where there is nothing to do', () => {
    const empty = timeline([], [], []);
    expect(readingPlace(empty)).toBe(0);
    expect(play(resting(0), empty).goal).toBeNull();
  });
});

describe('the playhead', () => {
  it('reaches the end however finely time is cut, and never runs backwards on the way', () => {
    for (const seconds of [0.001, 0.016, 0.3, 5]) {
      let head = play(resting(3, 2), line);
      let spent = 0;
      while (head.goal !== null) {
        const next = advance(head, line, seconds);
        expect(next.at).toBeGreaterThan(head.at);
        head = next;
        spent += seconds;
      }
      expect(head.at).toBe(12);
      // Eight quarter turns and a half turn at one and a half: 9.5 at 2 a second.
      expect(spent).toBeGreaterThan(4.75 - 1e-6);
      expect(spent).toBeLessThan(4.75 + seconds + 1e-6);
    }
  });

  it('goes back turn by turn', () => {
    let head = runTo(resting(5), line, 2);
    head = advance(head, line, 0.25);
    expect(head.at).toBeCloseTo(4.5);
    head = advance(head, line, 60);
    expect(head).toEqual({ at: 2, goal: null, speed: 2 });
  });

  it('rests only between turns', () => {
    const under = advance(play(resting(3), line), line, 0.6);
    expect(under.at).toBeCloseTo(4.2);
    expect(advance(pause(under, line), line, 60).at).toBe(5);
    expect(pause(resting(3), line)).toEqual(resting(3));
  });

  it('takes several presses on the way to several turns', () => {
    const once = nudge(resting(3), line, 1);
    expect(once.goal).toBe(4);
    expect(nudge(once, line, 1).goal).toBe(5);
    expect(nudge(resting(0), line, -1).goal).toBeNull();
    expect(nudge(resting(12), line, 1).goal).toBeNull();
    const under = advance(once, line, 0.1);
    expect(nudge(under, line, -1).goal).toBe(3);
  });

  it('jumps to stops and stays within the line', () => {
    expect(nextStop(resting(5), line, 1).at).toBe(11);
    expect(nextStop(resting(5), line, -1).at).toBe(3);
    expect(nextStop(resting(12), line, 1).at).toBe(12);
    expect(seek(resting(5), line, 99).at).toBe(12);
    expect(seek(resting(5), line, -4).at).toBe(0);
  });

  it('begins again at the reading when it is at the end', () => {
    expect(play(resting(12), line)).toMatchObject({ at: 3, goal: 12 });
  });
});
