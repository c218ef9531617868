import { beforeAll, describe, expect, it, vi } from 'vitest';

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
