import { describe, expect, it } from 'vitest';
import { placeNamed } from '../src/lib/stickers';
import { atLeast, bars, mean, oneIn, percent, usual, value, within } from '../src/lib/chances';
import { copyName } from '../src/screens/methods/drafts';
import { copied, faults, LETTERED, symbolsOf, writeLettering, type Symbols } from '../src/screens/methods/lettering';
import { named, reasons } from '../src/screens/methods/verdicts';
import fixtures from './stickers.json';

const clockwise: Symbols = symbolsOf({ name: 'clockwise', own: false, size: 3, symbols: fixtures.symbols, source: '' });
const changed = (changes: Record<string, string>): Symbols => ({
  ...clockwise,
  ...Object.fromEntries(Object.entries(changes).map(([name, symbol]) => [placeNamed(name)!, symbol])),
});

describe('a lettering', () => {
  it('has a symbol for each of the 48 stickers', () => {
    expect(LETTERED).toHaveLength(48);
    expect(LETTERED.every((place) => clockwise[place])).toBe(true);
    expect(faults(clockwise)).toEqual([]);
  });

  it('names gaps and doubles, each orbit for itself', () => {
    expect(faults(changed({ UF: '' })).map(({ sentence }) => sentence)).toEqual(['A sticker of the edges has no symbol: UF.']);
    expect(faults(changed({ UF: 'B' }))).toEqual([
      { places: [placeNamed('UR'), placeNamed('UF')], sentence: '“B” stands for UR and UF; each symbol may be used once among the edges.' },
    ]);
    expect(faults({}).map(({ places }) => places.length)).toEqual([24, 24]);
  });

  it('is written as one table where edges and corners agree, else as two', () => {
    expect(writeLettering('', clockwise)).toBe(
      '[every-orbit]\nU = "A B C D"\nL = "E F G H"\nF = "I J K L"\nR = "M N O P"\nB = "Q R S T"\nD = "U V W X"\n',
    );
    const two = writeLettering('name = "x"\n\n[every-orbit]\nU = "a b c d"\n\n[edges]\nU = "e f g h"\n[edges.stickers]\nUF = "ö"\n[wings]\nU = "1 2 3 4"\n', changed({ UF: '☂' }));
    expect(two).toContain('name = "x"');
    expect(two).toContain('[every-orbit]\nU = "a b c d"');
    expect(two).toContain('[wings]\nU = "1 2 3 4"');
    expect(two).toContain('[edges]\nU = "A B ☂ D"');
    expect(two).toContain('[corners]\nU = "A B C D"');
    expect(two).not.toContain('ö');
    expect(two.match(/\[edges/g)).toHaveLength(1);
  });

  it('keeps quotes and backslashes', () => {
    expect(writeLettering('', changed({ UF: '"', UB: '\\' }))).toContain('U = "\\\\ B \\" D"');
  });

  it('takes a new name along when it is copied', () => {
    const source = 'name = "clockwise"\nabout = "A to X"\n\n[edges]\nname = "not this"\n';
    expect(copied(source, 'fennel', 'clockwise')).toBe('name = "fennel"\nabout = "Made from clockwise."\n\n[edges]\nname = "not this"\n');
  });
});

describe('a copy', () => {
  it('gets a name that is free', () => {
    expect(copyName('two-swap', ['two-swap'])).toBe('two-swap-mine');
    expect(copyName('two-swap', ['two-swap-mine', 'two-swap-mine-2'])).toBe('two-swap-mine-3');
    expect(copyName('two-swap-mine-2', ['two-swap-mine'])).toBe('two-swap-mine-2');
  });
});

describe('verdicts', () => {
  it('are gathered by reason, whole layers named once', () => {
    const all = reasons(fixtures.verdicts);
    expect(all.flatMap(({ turns }) => turns)).toHaveLength(new Set(fixtures.verdicts.map(({ turn }) => turn.replace(/[2']/g, ''))).size);
    expect(all.map(({ why }) => why)).toEqual([...new Set(fixtures.verdicts.map(({ why }) => why))]);
  });

  it('name single turns where a layer is not free as a whole', () => {
    expect(named(['U2', 'R', 'R2', "R'", 'Fw2'])).toEqual(['U2', 'R', 'Fw2']);
  });
});

describe('chances', () => {
  const dice = { mean: '7/2', table: { '6': '1/6', '1': '1/6', '2': '1/6', '3': '1/6', '4': '1/6', '5': '1/6' } };
  const tails = { mean: '3', table: { '0': '1/10000', '1': '1/5000', '2': '1/10', '3': '8994/10000', '9': '1/10000', '10': '1/5000' } };

  it('are fractions', () => {
    expect(value('3/8')).toBe(0.375);
    expect(value('2')).toBe(2);
    expect(mean(dice)).toBe('3.5');
    expect(atLeast(dice, 5)).toBeCloseTo(1 / 3);
    expect(within(dice, 2, 3)).toBeCloseTo(1 / 3);
  });

  it('are not rounded to nothing or all', () => {
    expect([0, 0.00001, 0.5, 0.99999, 1].map(percent)).toEqual(['0%', '<0.1%', '50.0%', '>99.9%', '100%']);
  });

  it('share a bar where they are rarest', () => {
    expect(bars(tails).map(({ label }) => label)).toEqual(['0–1', '2', '3', '9–10']);
    expect(bars(dice).map(({ label, part }) => [label, part])).toEqual(['1', '2', '3', '4', '5', '6'].map((label) => [label, 1]));
  });

  it('leave at most a tenth on either side of what is usual', () => {
    expect(usual(dice)).toEqual([1, 6]);
    expect(usual(tails)).toEqual([2, 3]);
  });
});

describe('a chance', () => {
  it.each([
    ['1/2', '2'],
    ['123/1980', '16.1'],
    ['7239821/928972800', '128'],
    ['1/43252003274489856000', '43,252,003,274,489,856,000'],
  ])('of %s is met once in %s', (fraction, said) => {
    expect(oneIn(fraction)).toBe(said);
  });
});
