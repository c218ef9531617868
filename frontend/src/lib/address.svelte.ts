/** The address bar holds the whole state: `#/desk?scramble=R+U&hold=W,G`. */

type Params = Readonly<Record<string, string>>;

/** What describes the cube at hand; these go along from screen to screen. */
export const CUBE_PARAMS = ['scramble', 'net', 'method', 'lettering', 'hold', 'breaks'] as const;

export function parseAddress(hash: string): { screen: string; params: Params } {
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split(/\?(.*)/s);
  return { screen: path || 'desk', params: Object.fromEntries(new URLSearchParams(query)) };
}

export function writeAddress(screen: string, params: Params): string {
  const query = new URLSearchParams(params).toString();
  // Commas, colons and apostrophes are allowed behind the mark, and links stay readable with them.
  const readable = query.replace(/%2C/g, ',').replace(/%3A/g, ':').replace(/%27/g, "'").replace(/%3B/g, ';');
  return `#/${screen}${readable ? `?${readable}` : ''}`;
}

/** Browsers stop pages that write to the bar more often than this, as a slider or a drag would. */
const MOST_WRITES = { count: 40, milliseconds: 2000 };

class Address {
  #now = $state.raw(parseAddress(location.hash));
  #written: number[] = [];
  #due: ReturnType<typeof setTimeout> | undefined;

  constructor() {
    addEventListener('hashchange', () => {
      clearTimeout(this.#due);
      this.#now = parseAddress(location.hash);
    });
  }

  get screen(): string {
    return this.#now.screen;
  }

  get params(): Params {
    return this.#now.params;
  }

  get(name: string): string {
    return this.#now.params[name] ?? '';
  }

  /** Change parameters (an empty value takes one out). `step` makes it a step that the Back button takes back. */
  set(patch: Readonly<Record<string, string | null | undefined>>, step = false): void {
    const params = Object.fromEntries(
      Object.entries({ ...this.#now.params, ...patch }).filter((entry): entry is [string, string] => !!entry[1]),
    );
    const hash = writeAddress(this.screen, params);
    if (hash === writeAddress(this.screen, this.params)) return;
    this.#now = { screen: this.screen, params };
    clearTimeout(this.#due);
    if (step) history.pushState(null, '', hash);
    else this.#write(hash);
  }

  #write(hash: string): void {
    const now = performance.now();
    this.#written = this.#written.filter((at) => now - at < MOST_WRITES.milliseconds);
    if (this.#written.length < MOST_WRITES.count) {
      this.#written.push(now);
      history.replaceState(null, '', hash);
    } else this.#due = setTimeout(() => this.#write(hash), 100);
  }

  /** The link to a screen that takes the cube at hand along. */
  link(screen: string, extra: Params = {}): string {
    const kept = CUBE_PARAMS.flatMap((name) => (this.params[name] ? [[name, this.params[name]] as const] : []));
    return writeAddress(screen, { ...Object.fromEntries(kept), ...extra });
  }
}

export const address = new Address();
