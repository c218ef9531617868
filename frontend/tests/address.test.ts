import { afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';

let address: typeof import('../src/lib/address.svelte');

beforeAll(async () => {
  vi.stubGlobal('location', { hash: '' });
  vi.stubGlobal('addEventListener', () => undefined);
  address = await import('../src/lib/address.svelte');
});

describe('the address', () => {
  it.each<Record<string, string>>([{}, { scramble: "R U' (F2 [R: U])", hold: 'W,G' }, { breaks: 'choose:edges=K Q;corners=B' }, { net: 'WOGRBY-', at: '12' }, { lettering: 'αβγ&=?#' }])('keeps %j', (params) => {
    const written = address.writeAddress('desk', params);
    expect(address.parseAddress(written)).toEqual({ screen: 'desk', params });
  });
  it('reads what a person types', () => {
    expect(address.parseAddress("#/desk?scramble=R U2 F'")).toEqual({ screen: 'desk', params: { scramble: "R U2 F'" } });
    expect(address.parseAddress('')).toEqual({ screen: 'desk', params: {} });
  });
});

describe('writing to the bar', () => {
  const bar: string[] = [];
  const history = {
    replaceState: (_: unknown, __: string, hash: string) => void bar.splice(-1, 1, hash),
    pushState: (_: unknown, __: string, hash: string) => void bar.push(hash),
  };
  beforeEach(() => {
    vi.useFakeTimers();
    vi.advanceTimersByTime(60_000);
    vi.stubGlobal('history', history);
    bar.splice(0, Infinity, '');
    address.address.set(Object.fromEntries(Object.keys(address.address.params).map((name) => [name, null])));
  });
  afterEach(() => void vi.useRealTimers());

  it('happens at once, and a step is a new entry', () => {
    address.address.set({ at: '3' });
    expect(bar).toEqual(['#/desk?at=3']);
    address.address.set({ at: '4' }, true);
    expect(bar).toEqual(['#/desk?at=3', '#/desk?at=4']);
  });

  it('is not done so often that a browser stops it, and ends with the last word', () => {
    let writes = 0;
    vi.stubGlobal('history', { ...history, replaceState: (a: unknown, b: string, hash: string) => (writes++, history.replaceState(a, b, hash)) });
    for (let at = 1; at <= 1200; at++) {
      address.address.set({ at: String(at) });
      expect(address.address.get('at')).toBe(String(at));
      vi.advanceTimersByTime(16);
    }
    vi.advanceTimersByTime(3000);
    // Chromium allows 200 in ten seconds.
    expect(writes).toBeLessThan((200 * (1200 * 0.016 + 3)) / 10 + 1);
    expect(bar).toEqual(['#/desk?at=1200']);
  });

  it('is given up for a step that comes after it', () => {
    for (let at = 1; at <= 50; at++) address.address.set({ at: String(at) });
    address.address.set({ at: 'end' }, true);
    vi.advanceTimersByTime(3000);
    expect(bar.at(-1)).toBe('#/desk?at=end');
  });
});
