/** How an attempt is timed on this screen; the browser remembers it. */

const KEY = 'nightfold-attempt';

export type Way = 'deal' | 'type' | 'many';
export type Series = 'single' | 'best-of-3' | 'mean-of-3' | 'evening';

const USUAL = {
  way: 'deal' as Way,
  blind: true,
  series: 'single' as Series,
  /** What evenings are called. */
  evening: '',
  solver: '',
  count: 2,
  /** Scrambles of many cubes that are dealt but not yet begun: their cubes may lie scrambled already. */
  many: [] as string[],
  /** Whether the scrambles of many cubes are typed, not dealt. */
  typed: false,
  /** Attempts that shall stay as they are though nobody has judged them. */
  left: [] as string[],
  beeps: false,
  spoken: false,
  letters: false,
  dark: false,
  blank: false,
  onePress: false,
};

export type Choices = typeof USUAL;

/** What was remembered, as far as it is what it should be. */
export function choicesFrom(text: string | null): Choices {
  try {
    const found = JSON.parse(text ?? '{}') as Record<string, unknown>;
    const fits = (name: string, value: unknown): boolean => typeof found[name] === typeof value && Array.isArray(found[name]) === Array.isArray(value);
    return { ...USUAL, ...Object.fromEntries(Object.entries(USUAL).flatMap(([name, value]) => (fits(name, value) ? [[name, found[name]]] : []))) };
  } catch {
    return { ...USUAL };
  }
}

class Options {
  value = $state.raw<Choices>({ ...USUAL });

  constructor() {
    try {
      this.value = choicesFrom(localStorage.getItem(KEY));
    } catch {
      // A private window may forbid it.
    }
  }

  set(patch: Partial<Choices>): void {
    this.value = { ...this.value, ...patch };
    try {
      localStorage.setItem(KEY, JSON.stringify(this.value));
    } catch {
      // Then they last as long as the page.
    }
  }
}

export const options = new Options();
