import { describe, expect, it } from 'vitest';
import { apply, parseTurns } from '../src/lib/cube';
import { stretchAt } from '../src/lib/player';
import type { CubeFace, OrbitPlan } from '../src/lib/types';
import { asInitials, solvedAs, wayOf } from '../src/screens/inquest/came';
import { lettersMeant, meantSteps, type MethodFacts } from '../src/screens/inquest/meant';
import { differing, firstSlip, replay, sideAt } from '../src/screens/inquest/replay';
import { percent, searchedSentence } from '../src/screens/inquest/verdict';
import coach from './coach.json';

const mistake = { kind: '', letter: '', say: '', felt: '', hint: '' };

describe('what was meant beside what happened', () => {
  it.each(coach.cubes.map((cube, number) => [number, cube] as const))('ends solved and as it came out: cube %i', (_, cube) => {
    const { view, steps, slip, happened, final } = cube;
    const story = replay(steps, happened, []);
    const end = story.columns.length;
    expect(sideAt(story.columns, 'a', view.colours, end).colours).toEqual(solvedAs(view as unknown as CubeFace));
    expect(sideAt(story.columns, 'b', view.colours, end).colours).toEqual(final);
    expect(story.columns.filter(({ same }) => !same).length).toBeGreaterThan(0);
    // The alignment may find the difference a turn away, but never before the step of the slip.
    const wrong = story.steps.filter((step) => step.slip).map(({ number }) => number);
    expect(Math.min(...wrong)).toBeGreaterThanOrEqual(slip);
    expect(firstSlip(story)).toBeGreaterThanOrEqual(story.steps[slip]!.from);
  });

  it('marks the step that the mistake names', () => {
    const { steps, slip, happened } = coach.cubes[0]!;
    const { orbit } = steps[slip]!;
    const at = steps.slice(0, slip).filter((step) => step.orbit === orbit).length;
    const story = replay(steps, happened, [{ ...mistake, orbit, at }]);
    expect(story.steps.filter((step) => step.slip).map(({ number }) => number)).toEqual([slip]);
    expect(firstSlip(story)).toBe(story.steps[slip]!.from);
  });

  it('covers every column with one stretch', () => {
    for (const { steps, happened } of coach.cubes) {
      const { line, columns, steps: shown } = replay(steps, happened, []);
      line.stretches.forEach((stretch, i) => expect(stretch.from).toBe(i ? line.stretches[i - 1]!.to : 0));
      expect(line.stretches.at(-1)?.to).toBe(columns.length);
      for (let at = 0; at < columns.length; at++) {
        const step = stretchAt(line, at)?.step;
        expect(shown.filter(({ from, to }) => from <= at && at < to).map(({ number }) => number)).toEqual([step]);
      }
    }
  });

  it('turns one cube while the other rests where a turn was left out', () => {
    const story = replay([{ orbit: 'edges', letter: 'A', setup: '', swap: 'R U F', undo: '' }], 'R F', []);
    const start = Array.from({ length: 54 }, (_, i) => String(i));
    expect(sideAt(story.columns, 'a', start, 1.5).turning?.turn.letter).toBe('U');
    expect(sideAt(story.columns, 'b', start, 1.5)).toEqual({ colours: apply(start, parseTurns('R', 3), 3), turning: null });
    expect(sideAt(story.columns, 'b', start, 2.25).turning).toMatchObject({ part: 0.25, turn: { letter: 'F' } });
  });
});

describe('the steps that were meant', () => {
  const orbit = (name: string, letters: string[]): OrbitPlan => ({ orbit: name, letters }) as OrbitPlan;
  const view = { names: ['UB', 'UR', 'UBR'], letters: { edges: { 0: 'A', 1: 'B' }, corners: { 2: 'A' } } } as unknown as CubeFace;
  const method: MethodFacts = {
    order: ['edges', 'corners'],
    parity: { algorithm: 'R F' },
    setups: {
      orbits: [
        { orbit: 'edges', swap: 'T', setups: [{ sticker: 'UB', setup: 'L', undo: "L'" }] },
        { orbit: 'corners', swap: 'Y', setups: [{ sticker: 'UBR', setup: 'D', undo: "D'" }] },
      ],
    },
  };
  it('are those of the letters, with parity where the first count is odd', () => {
    const told = (edges: string[]): string[] =>
      meantSteps(method, view, { edges, corners: ['A'] }).map(({ orbit: name, letter, setup, swap, undo }) => [name, letter, setup, swap, undo].join('|'));
    expect(told(['A'])).toEqual(["edges|A|L|T|L'", 'parity|||R F|', "corners|A|D|Y|D'"]);
    // The buffer's own letter turns nothing, but counts.
    expect(told(['A', 'B'])).toEqual(["edges|A|L|T|L'", 'edges|B|||', "corners|A|D|Y|D'"]);
  });

  it('follow the letters that an explanation takes to have been meant', () => {
    expect(lettersMeant([orbit('edges', ['A']), orbit('corners', ['B'])], { corners: ['C'] })).toEqual({ edges: ['A'], corners: ['C'] });
  });
});

describe('where two cubes differ', () => {
  const solved = solvedAs({ size: 3, scheme: [...'WOGRBY'] } as unknown as CubeFace);
  it('does not count how one of them is held', () => {
    for (const turns of ['x', "y' z", 'x2 y', '']) expect(differing(solved, apply(solved, parseTurns(turns, 3), 3))).toEqual([]);
    const one = apply(solved, parseTurns('R', 3), 3);
    expect(differing(solved, one)).toHaveLength(12);
    expect(differing(solved, apply(one, parseTurns("x y'", 3), 3))).toHaveLength(12);
  });

  it('counts nothing where the centres cannot be matched', () => {
    expect(differing(solved, solved.map((c) => (c === 'W' ? 'Y' : c === 'Y' ? 'W' : c)))).toEqual([]);
  });
});

describe('the question', () => {
  it('finds the way that was chosen or that something was told in', () => {
    const of = (params: Record<string, string>) => wayOf((name) => params[name] ?? '');
    expect(of({})).toBe('final');
    expect(of({ left: 'R' })).toBe('left');
    expect(of({ left: 'R', came: 'performed' })).toBe('performed');
    expect(of({ came: 'nonsense', performed: 'R' })).toBe('performed');
  });

  it('reads a net in letters of the faces as colours', () => {
    expect(asInitials([...'ULFRBD'])).toEqual([...'WOGRBY']);
    expect(asInitials([...'WOGRBY'])).toEqual([...'WOGRBY']);
    expect(asInitials([...'RRRRRR'])).toEqual([...'RRRRRR']);
  });
});

describe('the answer', () => {
  it('gives shares that claim no more than they know', () => {
    expect([1, 0.999, 0.5, 0.014, 0.001, 0].map(percent)).toEqual(['100%', 'over 99%', '50%', '1%', 'under 1%', 'under 1%']);
  });

  it('says how much was looked through', () => {
    expect(searchedSentence({ searched: { singles: 9000, pairs: 40_500_000, triples: 0 }, memos_tried: 12 })).toBe(
      'Looked through 9,000 single mistakes and 40,500,000 pairs, over 12 right memos.',
    );
    expect(searchedSentence({ searched: { singles: 9, pairs: 8, triples: 7 }, memos_tried: 1 })).toBe('Looked through 9 single mistakes, 8 pairs and 7 triples.');
    expect(searchedSentence({ searched: { singles: 0, pairs: 0, triples: 0 }, memos_tried: 1 })).toBe('');
  });
});
