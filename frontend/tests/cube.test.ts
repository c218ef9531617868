import { describe, expect, it } from 'vitest';
import { apply, invert, parseTurns, permutation, places, solved, writeTurn } from '../src/lib/cube';
import fixtures from './fixtures.json';

describe('the cube against the Python package', () => {
  it.each(fixtures.cases)('$size: $text', ({ size, text, turns, stickers }) => {
    const read = parseTurns(text, size);
    expect(read.map(writeTurn).join(' ')).toBe(turns);
    expect(apply(solved(size), read, size)).toEqual(stickers);
  });

  it('undoes every sequence by its inverse', () => {
    for (const { size, text } of fixtures.cases) {
      const read = parseTurns(text, size);
      expect(apply(solved(size), [...read, ...invert(read)], size)).toEqual(solved(size));
    }
  });

  it('turns four times to nothing, carrying a layer only', () => {
    for (const token of ['U', 'L', 'F', 'R', 'B', 'D', 'M', 'E', 'S', 'x', 'y', 'z', 'Rw', '2Rw']) {
      const [turn] = parseTurns(token, 3);
      expect(apply(solved(3), [turn!, turn!, turn!, turn!], 3)).toEqual(solved(3));
      const moved = permutation(3, turn!).filter((from, to) => from !== to).length;
      expect(moved).toBe('xyz'.includes(token) ? 52 : 'MES'.includes(token) ? 12 : token.length > 1 ? 32 : 20);
    }
  });

  it('names every place once, on its own face', () => {
    const all = places(3);
    expect(new Set(all.map(({ cubie, normal }) => `${cubie}/${normal}`)).size).toBe(54);
    fixtures.names['3'].forEach((name, i) => expect(all[i]!.face).toBe(name[0]));
  });

  it.each(['R U )', '(R', '[R U]', '[R, ', 'Q', 'R4', '3Rw', "R''", '2R', '(R)30000', '2x', "U''", 'R 2'])('refuses %s', (text) => {
    expect(() => parseTurns(text, 3)).toThrow(/column \d+/);
  });
});
