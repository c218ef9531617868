import { describe, expect, it } from 'vitest';
import type { GridCell, GridOrbit, OwnWord } from '../src/lib/types';
import { cellAt, cellsOf, cellWords, countOf, hundredths, MARKS, matching, query, signOf, STATES, stepTo, stylesText, toggled } from '../src/screens/words/words';

const cell = (letters: string[], state: GridCell['state'], word: string | null, like: string[] = []): GridCell => ({ pair: letters.join(''), letters, state, word, like, in_place: false });
const orbit: GridOrbit = { orbit: 'edges', letters: ['A', 'B', 'Ch'], counts: {}, pairs: [cell(['A', 'B'], 'own', 'abbey'), cell(['B', 'Ch'], 'clashing', 'beach', ['CB'])] };
const word = (pair: string, text: string, note = ''): OwnWord => ({ id: text, pair, letters: [...pair], word: text, kind: '', note, strength: 0.5, language: 'en' });

describe('the grid', () => {
  it('finds a cell by its letters, whatever their length', () => {
    const cells = cellsOf(orbit);
    expect(cellAt(cells, 'A', 'B')?.word).toBe('abbey');
    expect(cellAt(cells, 'B', 'Ch')?.word).toBe('beach');
    expect(cellAt(cells, 'A', 'A')).toBeNull();
  });

  it('is walked by arrows and stays inside', () => {
    expect(stepTo('ArrowRight', 0, 1, 3, false)).toEqual({ row: 0, column: 2 });
    expect(stepTo('ArrowRight', 0, 2, 3, false)).toEqual({ row: 0, column: 2 });
    expect(stepTo('ArrowUp', 0, 2, 3, false)).toEqual({ row: 0, column: 2 });
    expect(stepTo('ArrowDown', 1, 0, 3, false)).toEqual({ row: 2, column: 0 });
    expect(stepTo('Home', 2, 2, 3, false)).toEqual({ row: 2, column: 0 });
    expect(stepTo('End', 0, 0, 3, true)).toEqual({ row: 2, column: 2 });
    expect(stepTo('x', 0, 0, 3, false)).toBeNull();
  });

  it('says what a cell has, and with what it clashes', () => {
    expect(cellWords(orbit.pairs[0]!)).toBe('AB: abbey, a word of your own');
    expect(cellWords(orbit.pairs[1]!)).toBe('BCh: beach, clashing with another (CB)');
    expect(cellWords(cell(['A', 'C'], 'missing', null))).toBe('AC: no word, missing');
  });

  it('has a sign of its own for every state', () => {
    expect(new Set(STATES.map(({ id }) => signOf(id))).size).toBe(5);
  });
});

describe('asking', () => {
  it('leaves out what is not said', () => {
    expect(query({ method: 'two-swap', lettering: null, rude: false, language: '', number: 12 })).toBe('method=two-swap&number=12');
    expect(query({ rude: true, pair: 'Ä·B' })).toBe('rude=true&pair=%C3%84%C2%B7B');
  });

  it('names the styles that were chosen', () => {
    expect(stylesText({ edges: 'sounds', corners: '' })).toBe('edges=sounds');
    expect(stylesText({})).toBe('');
  });
});

describe('own words', () => {
  it('are found by pair, word or note', () => {
    const some = [word('LS', 'lighthouse'), word('AB', 'abbey', 'by the sea'), word('SL', 'sail')];
    expect(matching(some, 'ls').map((one) => one.pair)).toEqual(['LS']);
    expect(matching(some, 'SEA').map((one) => one.pair)).toEqual(['AB']);
    expect(matching(some, ' ')).toHaveLength(3);
  });

  it('are counted in words', () => {
    expect(countOf(1)).toBe('1 word');
    expect(countOf(0)).toBe('0 words');
    expect(countOf(2500)).toBe('2,500 words');
  });

  it('have shares in hundredths, and nothing where there is none', () => {
    expect(hundredths(0.927)).toBe('93');
    expect(hundredths(0)).toBe('0');
    expect(hundredths(null)).toBe('');
    expect(hundredths(undefined)).toBe('');
  });
});

describe('how words stand for a pair', () => {
  const all = ['opening', 'ends', 'sounds'];
  it('puts a pattern in or takes it out, in the order of all', () => {
    expect(toggled(null, 'ends', all)).toBe('ends');
    expect(toggled('ends', 'opening', all)).toBe('opening,ends');
    expect(toggled('opening,ends', 'opening', all)).toBe('ends');
    expect(toggled('ends', 'ends', all)).toBeNull();
  });

  it('tells all five marks of a score', () => {
    expect(MARKS.map(({ id }) => id).sort()).toEqual(['common', 'kind', 'pattern', 'picturable', 'short']);
  });
});
