import { describe, expect, it } from 'vitest';
import { bend, breakElsewhere, pairs, sky } from '../src/lib/constellation';
import { centre, extent, neighbour, parseNet, PITCH, writeNet } from '../src/lib/net';
import { COLOURS, contrast, inkOn, paintOf } from '../src/lib/paint';
import type { Cycle, OrbitPlan, Target } from '../src/lib/types';
import fixtures from './fixtures.json';

describe('the net', () => {
  it('is written and read as Python does', () => {
    const { colours, text } = fixtures.net;
    expect(writeNet(colours, 3)).toBe(text);
    expect(parseNet(text, 3)).toEqual(colours);
    expect(parseNet(text.toLowerCase().replace(/(.{9})/g, '$1\n'), 3)).toEqual(colours);
    expect(parseNet(text.slice(1), 3)).toBeNull();
  });

  it('lays no two stickers over one another and none outside', () => {
    for (const size of [2, 3, 4, 7]) {
      const { width, height } = extent(size);
      const all = Array.from({ length: 6 * size * size }, (_, i) => centre(size, i));
      all.forEach((a, i) => {
        expect(a.x).toBeGreaterThan(PITCH / 2);
        expect(a.x).toBeLessThan(width - PITCH / 2);
        expect(a.y).toBeGreaterThan(PITCH / 2);
        expect(a.y).toBeLessThan(height - PITCH / 2);
        all.slice(i + 1).forEach((b) => expect(Math.max(Math.abs(a.x - b.x), Math.abs(a.y - b.y))).toBeGreaterThanOrEqual(PITCH));
      });
    }
  });

  it('lets the arrow keys reach every sticker', () => {
    const reached = new Set([0]);
    for (const from of reached)
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) reached.add(neighbour(3, from, dx, dy));
    expect(reached.size).toBe(54);
  });
});

describe('paints', () => {
  it('can be read upon', () => {
    for (const symbol of COLOURS) expect(contrast(paintOf(symbol), inkOn(paintOf(symbol)))).toBeGreaterThan(4.5);
  });
  it('go by the face where symbols are not the initials', () => {
    expect(paintOf('3', ['1', '2', '3', '4', '5', '6'])).toBe(paintOf('G'));
  });
});

const target = (sticker: number, letter: string, role: Target['role'] = 'next'): Target => ({ sticker, letter, role, why: `${letter}.` });
const orbit = (name: OrbitPlan['orbit'], readings: Cycle[]): OrbitPlan => ({
  orbit: name, buffer: 'UR', letters: readings.flatMap((c) => c.targets.map((x) => x.letter)), stickers: [], cycles: [], in_place: [],
  buffer_turned: false, odd: false, reasons: [], readings,
});
const edges = orbit('edges', [
  { kind: 'buffer', targets: [target(1, 'A', 'first'), target(3, 'D')], options: [], end: '' },
  { kind: 'break', targets: [target(7, 'C', 'break'), target(19, 'I'), target(7, 'C', 'close')], options: [7, 19], end: '' },
  { kind: 'in place', targets: [target(46, 'U', 'break'), target(25, 'K', 'close')], options: [46, 25], end: '' },
]);
const corners = orbit('corners', [{ kind: 'break', targets: [target(0, 'B', 'break')], options: [0], end: '' }]);

describe('constellations', () => {
  it('letter every star in order, dash the way to a chosen one, and set a repeated one aside', () => {
    const drawn = sky(edges, fixtures.names['3'], 3);
    const stars = drawn.figures.flatMap((figure) => figure.stars);
    expect(drawn.buffer.sticker).toBe(5);
    expect(stars.map((star) => star.letter).join('')).toBe('ADCICUK');
    expect(stars.map((star) => star.order)).toEqual([0, 1, 2, 3, 4, 5, 6]);
    expect(stars.map((star) => star.again)).toEqual([false, false, false, false, true, false, false]);
    expect(drawn.figures.map((figure) => figure.paths.map((path) => path.dashed))).toEqual([[false, false], [true, false, false], [true, false]]);
  });

  it('draw no line between stars that touch', () => {
    expect(bend({ x: 0, y: 0 }, { x: 10, y: 0 }, 8)).toBe('');
    expect(bend({ x: 0, y: 0 }, { x: 100, y: 0 }, 8)).toMatch(/^M[\d.]+ -?[\d.]+Q/);
  });

  it('pair letters', () => {
    expect(pairs([...'ABCDE']).map((pair) => pair.join(''))).toEqual(['AB', 'CD', 'E']);
  });

  it('break elsewhere keeps what came before and the other orbits', () => {
    expect(breakElsewhere([edges, corners], 'edges', 1, 'I')).toBe('choose:edges=I;corners=B');
    expect(breakElsewhere([edges, corners], 'edges', 2, 'K')).toBe('choose:edges=C K;corners=B');
    expect(breakElsewhere([edges, corners], 'corners', 0, 'X')).toBe('choose:edges=C U;corners=X');
  });
});
