import { describe, expect, it } from 'vitest';
import { align } from '../src/lib/align';
import { asReading, inPairs, readMemo, seenAt, unknownSentence } from '../src/lib/memo';
import type { CubeFace } from '../src/lib/types';
import { corrections, kindWords, stickersOf, tilePairs, tiles, type MarkedOrbit } from '../src/screens/marking/marked';
import coach from './coach.json';

const CLOCKWISE = coach.memos[0]!.symbols;
const view = (number: number): CubeFace => coach.cubes[number]!.view as unknown as CubeFace;

describe('a typed memo', () => {
  it.each(coach.memos)('is read as Python reads it: $lettering “$text”', ({ text, symbols, stickers, error, lettering }) => {
    const tokens = readMemo(text, symbols);
    expect(unknownSentence(tokens, 'edges', lettering, symbols)).toBe(error);
    if (stickers) expect(tokens.map(({ sticker }) => sticker)).toEqual(stickers);
  });

  it('reads symbols of several characters longest first', () => {
    const symbols = { 1: '1', 2: '12', 3: '2' };
    expect(readMemo('12', symbols).map(({ sticker }) => sticker)).toEqual([2]);
    expect(readMemo('1 2 12', symbols).map(({ sticker }) => sticker)).toEqual([1, 3, 2]);
    expect(unknownSentence(readMemo('1 99', symbols), 'corners', 'mine', symbols)).toContain('“99” at column 3 of the corners memo');
  });

  it('takes capital and small letters for different ones where the lettering does', () => {
    const symbols = { 1: 'a', 2: 'A', 3: 'B' };
    expect(readMemo('aAb', symbols).map(({ sticker }) => sticker)).toEqual([1, 2, 3]);
  });

  it('falls into pairs while it is typed, and the caret stays behind its letter', () => {
    expect(inPairs('iuh', 3, CLOCKWISE)).toEqual({ text: 'IU H', caret: 4 });
    expect(inPairs('IU H', 2, CLOCKWISE)).toEqual({ text: 'IU H', caret: 2 });
    expect(inPairs('IUT H', 3, CLOCKWISE)).toEqual({ text: 'IU TH', caret: 4 });
    expect(inPairs('I7', 2, CLOCKWISE)).toEqual({ text: 'I7', caret: 2 });
    expect(inPairs(' –', 2, CLOCKWISE)).toEqual({ text: ' –', caret: 2 });
    expect(inPairs('12 3', 4, { 1: '12', 2: '3' })).toEqual({ text: '12 3', caret: 4 });
    let typed = '';
    for (const letter of 'iuhtfeaxqov') typed = inPairs(typed + letter, typed.length + 1, CLOCKWISE).text;
    expect(typed).toBe('IU HT FE AX QO V');
  });
});

describe('a memo on the cube', () => {
  it('knows which sticker a place shows', () => {
    coach.cubes.forEach(({ readings }, number) => {
      for (const { cycles } of readings)
        for (const { stickers } of cycles)
          for (const [i, sticker] of stickers.slice(0, -1).entries()) expect(seenAt(view(number), sticker)).toBe(stickers[i + 1]);
    });
  });

  it('breaks where the reading of Python breaks', () => {
    let breaks = 0;
    coach.cubes.forEach(({ readings }, number) => {
      for (const { orbit, buffer, cycles } of readings) {
        const found = asReading(view(number), orbit, buffer, cycles.flatMap(({ stickers }) => stickers));
        expect(found.readings.map(({ targets }) => targets.map(({ sticker }) => sticker))).toEqual(cycles.map(({ stickers }) => stickers));
        expect(found.readings.map(({ targets }) => targets[0]?.role)).toEqual(cycles.map(({ kind }) => (kind === 'buffer' ? 'first' : 'break')));
        breaks += cycles.filter(({ kind }) => kind !== 'buffer').length;
      }
    });
    expect(breaks).toBeGreaterThan(5);
  });
});

describe('two rows side by side', () => {
  const text = (a: string, b: string): string => align([...a], [...b]).map((column) => `${column.a ?? '-'}${column.b ?? '-'}`).join(' ');
  it('stand alike beside alike', () => {
    expect(text('ABCD', 'ABCD')).toBe('AA BB CC DD');
    expect(text('ABCD', 'ABD')).toBe('AA BB C- DD');
    expect(text('ABD', 'ABCD')).toBe('AA BB -C DD');
    expect(text('ABCD', 'AXCD')).toBe('AA BX CC DD');
    expect(text('', 'AB')).toBe('-A -B');
    expect(text('AB', '')).toBe('A- B-');
    expect(text('', '')).toBe('');
    expect(text('ABAB', 'AB')).toMatch(/^AA BB A- B-$/);
  });

  it('loses and invents nothing', () => {
    let seed = 5;
    const dice = (n: number): number => (seed = (seed * 48271) % 2147483647) % n;
    for (let round = 0; round < 300; round++) {
      const make = (): number[] => Array.from({ length: dice(12) }, () => dice(4));
      const [a, b] = [make(), make()];
      const columns = align(a, b);
      expect(columns.flatMap((column) => column.a ?? [])).toEqual(a);
      expect(columns.flatMap((column) => column.b ?? [])).toEqual(b);
      for (const column of columns) expect(column.same).toBe(column.a !== null && column.a === column.b);
    }
  });
});

describe('a marked memo', () => {
  const fault = (at: number, letter: string, kind: string, expected: string[] = []): MarkedOrbit['faults'][number] => ({ at, letter, kind, expected, say: '' });
  const marked: MarkedOrbit = {
    orbit: 'edges',
    ok: false,
    letters: ['A', 'B', 'C', 'D', 'E'],
    faults: [fault(1, 'B', 'wrong-letter', ['X']), fault(4, '', 'left-out', ['F']), fault(5, '', 'stopped-early', ['G'])],
    corrected: ['A', 'X', 'C', 'D', 'F', 'E', 'G'],
  };

  it('has its faults on its letters and gaps where letters are missing', () => {
    expect(tiles(marked).map(({ letter, fault: number }) => `${letter || '?'}${number ?? ''}`)).toEqual(['A', 'B0', 'C', 'D', '?1', 'E', '?2']);
    expect(tilePairs(tiles(marked)).map((pair) => pair.map(({ letter }) => letter || '?').join(''))).toEqual(['AB', 'CD', '?E?']);
  });

  it('blames no letter for a fault of the whole', () => {
    const whole = { ...marked, faults: [fault(0, 'A', 'other-orbit', ['X'])] };
    expect(tiles(whole).every((tile) => tile.fault === null)).toBe(true);
    expect(stickersOf(whole.faults[0]!, { 7: 'A', 9: 'X' })).toEqual({ written: [], right: [9] });
  });

  it('points at what was written and at what is right', () => {
    expect(stickersOf(marked.faults[0]!, { 7: 'B', 9: 'X' })).toEqual({ written: [7], right: [9] });
  });

  it('shows what is new in the corrected memo', () => {
    expect(corrections(marked).map(({ letter, fresh }) => letter + (fresh ? '!' : '')).join('')).toBe('AX!CDF!EG!');
  });

  it('has words for every kind, and plain ones for a kind it does not know', () => {
    expect(kindWords('broke-into-solved')).toBe('solved piece');
    expect(kindWords('quite-new')).toBe('quite new');
  });
});
