import { afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import type { ApiError as Refusal } from '../src/lib/api.svelte';

let api: typeof import('../src/lib/api.svelte');
let inquiries: typeof import('../src/screens/inquest/inquiry.svelte');
/** What the server writes, piece by piece, into the answer under way. */
let write: (text: string) => void;
let close: () => void;
let asked: { url: string; body: unknown; accept: string | null }[] = [];
let closedByClient = false;

beforeAll(async () => {
  vi.stubGlobal('location', { hash: '' });
  vi.stubGlobal('addEventListener', () => undefined);
  api = await import('../src/lib/api.svelte');
  inquiries = await import('../src/screens/inquest/inquiry.svelte');
});

beforeEach(() => {
  asked = [];
  closedByClient = false;
  vi.stubGlobal('fetch', (url: string, options: RequestInit) => {
    if (url !== 'api/about') asked.push({ url, body: JSON.parse(String(options.body)), accept: new Headers(options.headers).get('accept') });
    const body = new ReadableStream<Uint8Array>({
      start(stream) {
        write = (text) => stream.enqueue(new TextEncoder().encode(text));
        close = () => stream.close();
        options?.signal?.addEventListener('abort', () => {
          closedByClient = true;
          stream.error(new DOMException('aborted', 'AbortError'));
        });
      },
    });
    return Promise.resolve(new Response(body));
  });
});
afterEach(() => {
  vi.useRealTimers();
  api.server.up = true;
});

const settled = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 5));

describe('a search', () => {
  it('tells its news as they come, in whatever pieces, and ends with its result', async () => {
    const news: unknown[] = [];
    const found = api.search('find', { want: 'UF UR DB' }, new AbortController().signal, (told) => news.push(told));
    await settled();
    expect(asked).toEqual([{ url: 'api/find', body: { want: 'UF UR DB' }, accept: 'text/event-stream' }]);
    write('event: progress\ndata: {"length": 1}\n\nevent: prog');
    await settled();
    expect(news).toEqual([{ length: 1 }]);
    write('ress\ndata: {"length": 2}\n\n: still searching\n\n');
    write('event: done\ndata: {"found": "ü"}\n\n');
    expect(await found).toEqual({ found: 'ü' });
    expect(news).toEqual([{ length: 1 }, { length: 2 }]);
    expect(api.server.up).toBe(true);
  });

  it('fails with the server’s sentence', async () => {
    const found = api.search('find', {}, new AbortController().signal, () => undefined);
    await settled();
    write('event: error\ndata: {"error": "there are no turns"}\n\n');
    await expect(found).rejects.toThrow('there are no turns');
    vi.stubGlobal('fetch', () => Promise.resolve(new Response('{"error": "too much at once"}', { status: 503 })));
    const refused = await api.search('find', {}, new AbortController().signal, () => undefined).catch((trouble: Refusal) => trouble);
    expect(refused).toMatchObject({ message: 'too much at once', status: 503 });
    expect(api.server.up).toBe(true);
  });

  it('says when the connection breaks off, and that the server is away', async () => {
    const found = api.search('find', {}, new AbortController().signal, () => undefined);
    await settled();
    write('event: progress\ndata: {}\n\n');
    close();
    await expect(found).rejects.toMatchObject({ status: 0, message: 'The connection broke off before the search had ended.' });
    expect(api.server.up).toBe(false);
  });

  it('is ended by its signal, with no word about the server', async () => {
    const stop = new AbortController();
    const found = api.search('find', {}, stop.signal, () => undefined);
    await settled();
    stop.abort();
    await expect(found).rejects.toMatchObject({ name: 'AbortError' });
    expect(closedByClient).toBe(true);
    expect(api.server.up).toBe(true);
  });
});

describe('an inquiry', () => {
  it('says what is tried, and gives the verdict', async () => {
    const inquiry = new inquiries.Inquiry();
    const verdict = inquiry.begin({ left: 'R' });
    await settled();
    expect([inquiry.busy, inquiry.said]).toEqual([true, 'Searching…']);
    write('event: progress\ndata: {"mistakes": 3}\n\n');
    await settled();
    expect(inquiry.said).toBe('Trying up to three mistakes at once…');
    write('event: progress\ndata: {"mistakes": 1}\n\n');
    await settled();
    expect(inquiry.said).toBe('Trying one mistake…');
    write('event: done\ndata: {"solved": true}\n\n');
    expect(await verdict).toEqual({ solved: true });
    expect([inquiry.busy, inquiry.stopped, inquiry.error]).toEqual([false, false, '']);
  });

  it('is stopped by closing the connection, and says where it was', async () => {
    const inquiry = new inquiries.Inquiry();
    const verdict = inquiry.begin({ left: 'R' });
    await settled();
    write('event: progress\ndata: {"mistakes": 2}\n\n');
    await settled();
    inquiry.stop();
    expect(await verdict).toBeNull();
    expect(closedByClient).toBe(true);
    expect([inquiry.busy, inquiry.said]).toEqual([false, 'Stopped while two mistakes were tried.']);
    inquiry.stop();
    expect(inquiry.error).toBe('');
  });

  it('gives way to another, and the first one’s answer is not taken for its', async () => {
    const inquiry = new inquiries.Inquiry();
    const first = inquiry.begin({ left: 'R' });
    await settled();
    const second = inquiry.begin({ left: 'U' });
    expect(await first).toBeNull();
    expect(inquiry.busy).toBe(true);
    await settled();
    write('event: done\ndata: {"solved": false}\n\n');
    expect(await second).toEqual({ solved: false });
    expect(inquiry.busy).toBe(false);
  });

  it('counts seconds while it lasts, and keeps a refusal', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] });
    const inquiry = new inquiries.Inquiry();
    const verdict = inquiry.begin({});
    await settled();
    vi.advanceTimersByTime(3100);
    expect(inquiry.seconds).toBe(3);
    write('event: error\ndata: {"error": "R Q is no turn"}\n\n');
    expect(await verdict).toBeNull();
    expect(inquiry.error).toBe('R Q is no turn');
    vi.advanceTimersByTime(5000);
    expect(inquiry.seconds).toBe(3);
  });
});
