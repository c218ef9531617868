import { describe, expect, it } from 'vitest';
import { FACES } from '../src/lib/cube';
import { clockwise, NAMES, orbitOf, pieceOf, placeNamed, type OrbitName } from '../src/lib/stickers';
import fixtures from './stickers.json';

describe('stickers', () => {
  it('are named as in Python', () => {
    expect(NAMES).toEqual(fixtures.names);
  });

  it('are found by name, the letters behind the first in any order', () => {
    NAMES.forEach((name, place) => {
      expect(placeNamed(name)).toBe(place);
      expect(placeNamed(name.toLowerCase().slice(0, 1) + [...name.slice(1)].reverse().join(''))).toBe(place);
    });
    for (const wrong of ['', 'UX', 'UD', 'UFB', 'UFRL']) expect(placeNamed(wrong)).toBeNull();
  });

  it('lie on pieces, clockwise from the sticker itself', () => {
    for (const [place, piece] of Object.entries(fixtures.pieces)) expect(pieceOf(Number(place))).toEqual(piece);
    expect(orbitOf(4)).toBeNull();
  });

  it.each(Object.entries(fixtures.clockwise))('of the %s are lettered clockwise as in Python', (orbit, faces) => {
    for (const face of FACES) expect(clockwise(orbit as OrbitName, face)).toEqual(faces[face]);
  });
});
