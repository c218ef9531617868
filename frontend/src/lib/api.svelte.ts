/** The one way to the server: plain calls, a watch over whether it answers, and answers that are never stale. */

import { EventReader } from './events';

export class ApiError extends Error {
  constructor(
    message: string,
    readonly status: number,
  ) {
    super(message);
  }
}

/** Whether the server answers; `epoch` grows each time it comes back, so that what reads it asks again. */
class Server {
  up = $state(true);
  epoch = $state(0);
  #wait = 500;
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** Called when a request could not be made; asks again, more and more patiently, until there is an answer. */
  lost(): void {
    if (!this.up) return;
    this.up = false;
    this.#wait = 500;
    this.#again();
  }

  /** Ask at once rather than when the next try is due. */
  async retry(): Promise<void> {
    clearTimeout(this.#timer);
    try {
      const answer = await fetch('api/about');
      if (!answer.ok) throw new Error();
      this.up = true;
      this.epoch++;
    } catch {
      this.#again();
    }
  }

  #again(): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.retry(), this.#wait);
    this.#wait = Math.min(this.#wait * 1.6, 5000);
  }
}

export const server = new Server();

const GONE = 'Nightfold’s server does not answer.';

/**
 * Ask the server. A body makes it a POST unless `method` says otherwise. Throws ApiError with the server's sentence;
 * an aborted request throws the AbortError of `fetch`.
 */
export async function ask<T>(
  path: string,
  body?: unknown,
  options: { signal?: AbortSignal; method?: string } = {},
): Promise<T> {
  let answer: Response;
  try {
    answer = await fetch(`api/${path}`, {
      method: options.method ?? (body === undefined ? 'GET' : 'POST'),
      ...(body === undefined ? {} : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
      ...(options.signal ? { signal: options.signal } : {}),
    });
  } catch (trouble) {
    if (options.signal?.aborted) throw trouble;
    server.lost();
    throw new ApiError(GONE, 0);
  }
  const text = await answer.text();
  let data: unknown = null;
  try {
    data = text ? JSON.parse(text) : null;
  } catch {
    // Not JSON: a proxy's page or a broken answer; the status says enough.
  }
  if (answer.ok) return data as T;
  if ([502, 504].includes(answer.status)) {
    server.lost();
    throw new ApiError(GONE, 0);
  }
  const sentence = (data as { error?: unknown } | null)?.error;
  throw new ApiError(typeof sentence === 'string' ? sentence : `The server answered ${answer.status}.`, answer.status);
}

const BROKEN = 'The connection broke off before the search had ended.';

/**
 * Ask for something that is searched for: `onnews` is told how it goes on, and the promise holds the result. Aborting
 * the signal stops the search; the server hears of it by the closed connection. Errors as for `ask`.
 */
export async function search<Result, News>(
  path: string,
  body: unknown,
  signal: AbortSignal,
  onnews: (news: News) => void,
): Promise<Result> {
  let answer: Response;
  try {
    answer = await fetch(`api/${path}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', accept: 'text/event-stream' },
      body: JSON.stringify(body),
      signal,
    });
  } catch (trouble) {
    if (signal.aborted) throw trouble;
    server.lost();
    throw new ApiError(GONE, 0);
  }
  if (!answer.ok || !answer.body) {
    const said = (await answer.json().catch(() => null)) as { error?: string } | null;
    throw new ApiError(said?.error ?? `The server answered ${answer.status}.`, answer.status);
  }
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  const events = new EventReader();
  for (;;) {
    const { done, value } = await reader.read().catch((trouble: unknown) => {
      if (signal.aborted) throw trouble;
      return { done: true, value: undefined };
    });
    for (const { event, data } of events.read(value ?? '')) {
      const told: unknown = JSON.parse(data);
      if (event === 'progress') onnews(told as News);
      else if (event === 'error') throw new ApiError((told as { error: string }).error, 422);
      else if (event === 'done') return told as Result;
    }
    if (done) {
      server.lost();
      throw new ApiError(BROKEN, 0);
    }
  }
}

/**
 * The answer to a question that keeps changing. `put` waits a moment, drops what was asked before, and keeps the last
 * good answer on show meanwhile; a question put while the server was away is asked again when it is back.
 */
export class Answer<Question, Result> {
  value = $state.raw<Result | null>(null);
  error = $state('');
  busy = $state(false);
  #call: (question: Question, signal: AbortSignal) => Promise<Result>;
  #delay: number;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #under: AbortController | undefined;
  #last: string | undefined;

  constructor(call: (question: Question, signal: AbortSignal) => Promise<Result>, delay = 120) {
    this.#call = call;
    this.#delay = delay;
  }

  /** Put a question; null asks nothing and clears the answer. */
  put(question: Question | null): void {
    const key = JSON.stringify([question, server.epoch]);
    if (key === this.#last) return;
    // The first question is asked at once; only typing is waited for.
    const delay = this.#last === undefined ? 0 : this.#delay;
    this.#last = key;
    clearTimeout(this.#timer);
    this.#under?.abort();
    if (question === null) {
      this.value = null;
      this.error = '';
      this.busy = false;
      return;
    }
    this.busy = true;
    this.#timer = setTimeout(() => void this.#run(question), delay);
  }

  /** Forget what is on its way and what was answered. */
  clear(): void {
    clearTimeout(this.#timer);
    this.#under?.abort();
    this.#last = undefined;
    this.value = null;
    this.error = '';
    this.busy = false;
  }

  async #run(question: Question): Promise<void> {
    const under = new AbortController();
    this.#under = under;
    try {
      const value = await this.#call(question, under.signal);
      if (under.signal.aborted) return;
      this.value = value;
      this.error = '';
    } catch (trouble) {
      if (under.signal.aborted) return;
      // While the server is away the banner says so, and the last answer stays.
      if (trouble instanceof ApiError && trouble.status === 0) return;
      this.error = trouble instanceof Error ? trouble.message : String(trouble);
    } finally {
      if (this.#under === under) this.busy = false;
    }
  }
}
