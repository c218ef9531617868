import { describe, expect, it } from 'vitest';
import { NAMES, placeNamed } from '../src/lib/stickers';
import { arrowsOf, arrowsOfPermutation, close, pick, readEffect, unpick } from '../src/screens/finding/effect';
import { EventReader } from '../src/lib/events';
import { inOrder, said } from '../src/screens/finding/said';
import { layersIn, toggle } from '../src/screens/finding/turns';
import fixtures from './stickers.json';

const places = (text: string): number[] => text.split(' ').map((name) => placeNamed(name)!);
const pickAll = (names: string, text = ''): string => places(names).reduce(pick, text);

describe('a wanted effect', () => {
  it.each(fixtures.effects)('is drawn as Python understands it: $want', ({ want, sources }) => {
    const effect = readEffect(want);
    expect(effect.trouble).toBe('');
    const drawn = arrowsOf(effect.cycles).map(({ from, to }) => `${from}>${to}`);
    const meant = sources.flatMap((from, to) => (from === to ? [] : [`${from}>${to}`]));
    expect(drawn.toSorted()).toEqual(meant.toSorted());
    const known = arrowsOfPermutation(sources);
    expect(known.map(({ from, to }) => `${from}>${to}`).toSorted()).toEqual(meant.toSorted());
  });

  it('says what cannot be read', () => {
    expect(readEffect('UF UX').trouble).toContain('“UX” is no sticker');
    expect(readEffect('UF U').trouble).toContain('centre');
    expect(readEffect('UF UFR').trouble).toContain('mixes edges and corners');
    expect(readEffect('').trouble).toBe('');
  });

  it('grows sticker by sticker and closes at its first', () => {
    expect(pickAll('UF UR DB')).toBe('UF UR DB');
    expect(pickAll('UF UR DB UF')).toBe('UF UR DB;');
    expect(pickAll('UR UL UR UFR UBR')).toBe('UR UL; UFR UBR');
    expect(close('UF UR DB')).toBe('UF UR DB;');
  });

  it('lets the last one go when it is picked again, or on request', () => {
    expect(pickAll('UF UR UR')).toBe('UF');
    expect(pickAll('UF UF')).toBe('');
    expect(pickAll('UR UL UR UFR UFR')).toBe('UR UL;');
    expect(unpick('UF UR DB;')).toBe('UF UR');
    expect(unpick('UF')).toBe('');
  });

  it('takes up no centre and no piece of another kind', () => {
    expect(pick('UF', 4)).toBe('UF');
    expect(pickAll('UFR', 'UF')).toBe('UF');
    expect(pickAll('UR', 'UF UR DB')).toBe('UF UR DB');
  });

  it('has one leading arrow for each piece that moves', () => {
    const { cycles } = readEffect('UFR RUF FUR; UBL LUB BUL');
    expect(arrowsOf(cycles)).toHaveLength(6);
    const three = arrowsOf(readEffect('UF UR DB').cycles);
    expect(three.filter(({ leads }) => leads).map(({ from }) => NAMES[from])).toEqual(['UF', 'UR', 'DB']);
  });
});

describe('the turns of a search', () => {
  it('are known by their layers', () => {
    expect([...layersIn("U R2 F' Rw r3 M")]).toEqual(['U', 'R', 'F', 'Rw', 'M']);
  });

  it('are put in and taken out whole', () => {
    expect(toggle('U D', 'R')).toBe('U D R');
    expect(toggle("U R2 R' D", 'R')).toBe('U D');
    expect(toggle('U', 'U')).toBe('');
  });
});

describe('events', () => {
  const text = 'event: progress\ndata: {"length":3}\n\n: still searching\n\nevent: done\ndata: {"a":\ndata: 1}\n\n';

  it('are whole however the stream is cut', () => {
    for (let cut = 0; cut <= text.length; cut++) {
      const reader = new EventReader();
      const events = [...reader.read(text.slice(0, cut)), ...reader.read(text.slice(cut))];
      expect(events).toEqual([
        { event: 'progress', data: '{"length":3}' },
        { event: 'done', data: '{"a":\n1}' },
      ]);
    }
  });

  it('that are not whole are not given', () => {
    expect(new EventReader().read('event: done\ndata: {}\n')).toEqual([]);
  });
});

describe('what was found', () => {
  const one = (algorithm: string, cost: number, obtm: number, stm: number) => ({ algorithm, form: null, cost, obtm, stm });
  const done = { turns: 'R U', shortest: 4, proven: 4, found: 1234, memory_bound: false, cut: false, algorithms: [] };

  it('is told with what was proven', () => {
    expect(said(done)).toBe('1,234 found. None is shorter than 4 turns: every sequence of R U was tried.');
    expect(said({ ...done, shortest: null, proven: 8 })).toBe('None has up to 8 turns: every sequence of R U was tried.');
    expect(said({ ...done, shortest: 0 })).toContain('Nothing is to be done');
    expect(said({ ...done, cut: true })).toContain('There are more than could be kept.');
  });

  it('is ordered by the column, what is equal by ease', () => {
    const all = [one('a', 1, 9, 7), one('b', 2, 8, 8), one('c', 3, 9, 7)];
    expect(inOrder(all, 'obtm').map(({ algorithm }) => algorithm)).toEqual(['b', 'a', 'c']);
    expect(inOrder(all, 'stm').map(({ algorithm }) => algorithm)).toEqual(['a', 'c', 'b']);
  });
});
