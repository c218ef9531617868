/** What the logbook draws, and what it says of the drawings. */

import { describe, expect, it } from 'vitest';
import type { Progress, Rate } from '../src/lib/types';
import { csvAddress, drawnRows, lonePlaces, manyFigure, mistakesFigure, MOST_LINES, periodWords, resultsFigure, retentionFigure, successFigure, timeMark, timesFigure, timeSteps } from '../src/screens/logbook/plots';

const rate = (of: string, good: number, all: number, memo: number | null = 40_000): Rate => ({
  of,
  attempts: all,
  solved: { good, all, value: all ? good / all : null, low: 0.1, high: 0.9 },
  memo_ms: memo,
  execution_ms: memo === null ? null : 50_000,
  total_ms: memo === null ? null : memo + 50_000,
});
const point = (result: number | null, best: number | null = null, mean: number | null = null): Progress['attempts'][number] => ({
  id: 'a',
  day: '2026-03-05',
  outcome: result === null ? 'dnf' : 'solved',
  result,
  memo_ms: null,
  best_of_3: best,
  mean_of_3: mean,
});

describe('periods', () => {
  it('are said in words', () => {
    expect(['2026', '2026-03', '2026-03-05'].map(periodWords)).toEqual(['2026', 'March 2026', '5 March 2026']);
  });
});

describe('figures', () => {
  it('leave out periods in which nothing ended, and band the rate', () => {
    const figure = successFigure({ timeline: [rate('2026-01', 1, 4), rate('2026-02', 0, 0), rate('2026-03', 3, 4)] });
    expect(figure.labels).toEqual(['2026-01', '2026-03']);
    expect(figure.lines[0]?.values).toEqual([0.25, 0.75]);
    expect(figure.band).toEqual({ low: [0.1, 0.1], high: [0.9, 0.9] });
    expect(figure.summary).toContain('First 25%, last 75%, from January 2026 to March 2026');
    expect(successFigure({ timeline: [rate('2026-01', 1, 4)] }).summary).toContain('25% (1 of 4; between 10% and 90% with 95 % confidence), in January 2026');
  });
  it('show times only where there are some', () => {
    const figure = timesFigure({ timeline: [rate('2026-01', 0, 2, null), rate('2026-02', 1, 1)] });
    expect(figure.labels).toEqual(['2026-02']);
    expect(figure.summary).toContain('memo 40.00, execution 50.00');
  });
  it('lay a DNF on the ground line and never among the results', () => {
    const figure = resultsFigure({ attempts: [point(6000), point(null), point(5000, 5000, null)] });
    expect(figure.lines.find(({ title }) => title === 'result')?.values).toEqual([6000, null, 5000]);
    expect(figure.lines.find(({ title }) => title === 'DNF')?.values).toEqual([null, 0, null]);
    expect(figure.summary).toContain('3 attempts, 2 of them solved, the fastest in 50.00. Of the last three: best 50.00, mean none.');
  });
  const none = { periods: [], lines: [] };
  it('draw the dearest mistakes, nothing where a kind was not found', () => {
    const kinds = ['a-b', 'c', 'd', 'e', 'f'];
    const figure = mistakesFigure({
      mistakes: kinds.map((kind, i) => ({ of: 'all', kind, times: 3, cost: 5 - i })),
      mistakes_by_period: {
        periods: ['2026-01', '2026-02'],
        lines: [
          { kind: 'a-b', times: [0, 2], cost: [0, 1] },
          { kind: 'c', times: [1, 0], cost: [1, 0] },
        ],
      },
    });
    expect(figure.labels).toEqual(['2026-01', '2026-02']);
    expect(figure.lines).toHaveLength(MOST_LINES);
    expect(figure.lines[0]).toMatchObject({ title: 'a b', values: [0, 2] });
    expect(figure.summary).toContain('“a b”: without it 5 more solves');
  });
  it('leave gaps where no drill was done', () => {
    const right = (good: number, all: number): Progress['retention'][number]['right'] => ({ good, all, value: good / all, low: 0, high: 1 });
    const figure = retentionFigure({
      retention: [
        { of: 'all', exercise: 'setup', right: right(1, 2), kept: right(0, 0), answer_ms: null },
        { of: 'all', exercise: 'next-letter', right: right(3, 4), kept: right(0, 0), answer_ms: null },
      ],
      retention_by_period: {
        periods: ['2026-01', '2026-02'],
        lines: [
          { exercise: 'next-letter', right: [0, 3], asked: [0, 4], kept: [0, 0], again: [0, 0], answer_ms: [null, null] },
          { exercise: 'setup', right: [1, 0], asked: [2, 0], kept: [0, 0], again: [0, 0], answer_ms: [null, null] },
        ],
      },
    });
    expect(figure.lines.map(({ title, values }) => [title, values])).toEqual([
      ['next letter', [null, 0.75]],
      ['setup', [0.5, null]],
    ]);
  });
  it('draw what was known a day later as soon as anything was asked again', () => {
    const share = (good: number, all: number): Progress['retention'][number]['right'] => ({ good, all, value: all ? good / all : null, low: 0, high: 1 });
    const figure = retentionFigure({
      retention: [{ of: 'all', exercise: 'setup', right: share(9, 10), kept: share(1, 4), answer_ms: null }],
      retention_by_period: { periods: ['2026-01', '2026-02'], lines: [{ exercise: 'setup', right: [5, 4], asked: [5, 5], kept: [0, 1], again: [0, 4], answer_ms: [null, null] }] },
    });
    expect(figure.lines[0]?.values).toEqual([null, 0.25]);
    expect(figure.summary).toContain('Known a day or more after it was last asked');
    expect(figure.summary).toContain('setup 25%');
  });
  it('tell lines apart without colour', () => {
    const figure = mistakesFigure({ mistakes: ['a', 'b', 'c', 'd'].map((kind) => ({ of: 'all', kind, times: 1, cost: 1 })), mistakes_by_period: none });
    expect(new Set(figure.lines.map(({ stroke }) => stroke)).size).toBe(figure.lines.length);
  });
  it('count points at many cubes, and lay what did not count on the ground line', () => {
    const one = { id: 'x', day: '2026-01-08', result: '2/2 in 2:00', points: 2, solved: 2, cubes: 2, seconds: 120 };
    const figure = manyFigure({ many: [one, { ...one, result: 'DNF', points: null, solved: 1 }] });
    expect(figure.lines.map(({ values }) => values)).toEqual([
      [2, null],
      [null, 0],
    ]);
    expect(figure.summary).toBe('2 attempts, 1 of them counted; the newest: DNF. A DNF is a mark on the ground line.');
  });
  it('say so where there is nothing', () => {
    for (const figure of [
      manyFigure({ many: [] }),
      successFigure({ timeline: [] }),
      timesFigure({ timeline: [] }),
      resultsFigure({ attempts: [] }),
      mistakesFigure({ mistakes: [], mistakes_by_period: none }),
      retentionFigure({ retention: [], retention_by_period: none }),
    ]) {
      expect(figure.summary).toMatch(/^No .* yet\.$/);
      expect(figure.labels).toEqual([]);
    }
  });
  it('have a point where no line leads to a value', () => {
    const means = [null, 900, null, null, 800, 700, null, 600, null];
    expect(lonePlaces({ values: means, breaks: true })).toEqual([1, 7]);
    expect(lonePlaces({ values: [...means, 500], breaks: true })).toEqual([1, 7, 9]);
    // A line that goes on across gaps leads from each value to the next.
    expect(lonePlaces({ values: means })).toEqual([]);
    expect(lonePlaces({ values: [null, null, 500, null] })).toEqual([2]);
    expect(lonePlaces({ values: [null], breaks: true })).toEqual([]);
  });
  it('have a point for a lone mean however many attempts there are', () => {
    const attempts = Array.from({ length: 60 }, (_, at) => (at % 5 ? point(6000) : point(null)));
    attempts[33] = point(5800, 5800, 5900);
    const mean = resultsFigure({ attempts }).lines.find(({ title }) => title === 'mean of the last 3')!;
    expect(lonePlaces(mean)).toEqual([33]);
  });
  it('are drawn place by place, the band below the lines', () => {
    const figure = successFigure({ timeline: [rate('2026-01', 1, 4), rate('2026-03', 3, 4)] });
    expect(drawnRows(figure)).toEqual([
      [0, 1],
      [0.1, 0.1],
      [0.9, 0.9],
      [0.25, 0.75],
    ]);
  });
  it('give the band of a single period a width', () => {
    const [places, low, high, share] = drawnRows(successFigure({ timeline: [rate('2026-01', 1, 4)] }));
    expect(places![0]).toBeLessThan(0);
    expect(places![2]).toBeGreaterThan(0);
    expect(places![2]! - places![0]!).toBeLessThan(1);
    expect([low, high, share]).toEqual([
      [0.1, 0.1, 0.1],
      [0.9, 0.9, 0.9],
      [null, 0.25, null],
    ]);
  });
  it('mark times at round seconds and minutes', () => {
    expect(timeSteps(100).slice(0, 7)).toEqual([100, 200, 500, 1000, 1500, 3000, 6000]);
    expect(timeMark(12_000, 100)).toBe('2:00');
  });
});

it('a table is fetched with everything that was chosen', () => {
  expect(csvAddress('timeline', { solver: 'Maren of the Quay', by: 'week' })).toBe('api/progress.csv?table=timeline&solver=Maren+of+the+Quay&by=week');
});
