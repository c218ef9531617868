/**
 * What is to be kept but not yet kept: every step is written into the browser's own storage before it is sent, sent in
 * order, and let go of when the server has answered. Ids are made here and steps say what is so, not what changed by, so
 * that sending one twice does no more than sending it once.
 */

export interface Step {
  readonly id: string;
  readonly method: 'POST' | 'PATCH' | 'PUT';
  readonly path: string;
  readonly body: unknown;
}

/** A step as it is put; its own id is given then. */
export type NewStep = Omit<Step, 'id'>;

/** A step that the server will not have, and why. */
export interface Refusal {
  readonly step: Step;
  readonly sentence: string;
}

export type Shelf = Pick<Storage, 'getItem' | 'setItem'>;

/** How sending ended: all sent; the server is away; or it cannot keep anything just now and says why. */
export interface Sent {
  readonly waiting: number;
  readonly sentence: string;
}

const WAITING = 'nightfold-unsent';
const REFUSED = 'nightfold-refused';
const MOST_REFUSED = 50;
/** Answers after which the same request may well succeed. */
const LATER = new Set([0, 401, 403, 408, 429]);

/** An id that no other record has; pages that came over a plain connection have no randomUUID. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6]! & 0x0f) | 0x40;
  bytes[8] = (bytes[8]! & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}

export class Unsent {
  #shelf: Shelf;
  #send: (step: Step) => Promise<unknown>;
  /** Lets one window at a time send, so that an older step never overtakes a newer one. */
  #alone: (work: () => Promise<Sent>) => Promise<Sent>;
  /** Where the browser keeps nothing, these live as long as the page. */
  #memory = new Map<string, string>();
  #under: Promise<Sent> | null = null;

  constructor(shelf: Shelf, send: (step: Step) => Promise<unknown>, alone: (work: () => Promise<Sent>) => Promise<Sent> = (work) => work()) {
    this.#shelf = shelf;
    this.#send = send;
    this.#alone = alone;
  }

  get waiting(): readonly Step[] {
    return this.#read<Step>(WAITING);
  }

  get refused(): readonly Refusal[] {
    return this.#read<Refusal>(REFUSED);
  }

  put(...steps: readonly NewStep[]): void {
    this.#write(WAITING, [...this.waiting, ...steps.map((step) => ({ ...step, id: newId() }))]);
  }

  /** Forget refusals that were read. */
  forget(): void {
    this.#write(REFUSED, []);
  }

  /** Send what waits, the oldest first; asked again meanwhile, it is the same sending. */
  send(): Promise<Sent> {
    this.#under ??= this.#alone(() => this.#all()).finally(() => (this.#under = null));
    return this.#under;
  }

  async #all(): Promise<Sent> {
    for (let step = this.waiting[0]; step; step = this.waiting[0]) {
      const { id } = step;
      try {
        await this.#send(step);
      } catch (trouble) {
        const status = (trouble as { status?: number }).status ?? 0;
        const sentence = trouble instanceof Error ? trouble.message : String(trouble);
        if (LATER.has(status) || status >= 500) return { waiting: this.waiting.length, sentence: status ? sentence : '' };
        this.#write(REFUSED, [...this.refused, { step, sentence }].slice(-MOST_REFUSED));
      }
      this.#write(WAITING, this.waiting.filter((one) => one.id !== id));
    }
    return { waiting: 0, sentence: '' };
  }

  #read<T>(name: string): T[] {
    let text: string | null | undefined = this.#memory.get(name);
    try {
      text ??= this.#shelf.getItem(name);
    } catch {
      // A private window may forbid it.
    }
    try {
      const found: unknown = JSON.parse(text ?? '[]');
      return Array.isArray(found) ? (found as T[]) : [];
    } catch {
      return [];
    }
  }

  #write(name: string, list: readonly unknown[]): void {
    const text = JSON.stringify(list);
    try {
      this.#shelf.setItem(name, text);
      this.#memory.delete(name);
    } catch {
      this.#memory.set(name, text);
    }
  }
}
