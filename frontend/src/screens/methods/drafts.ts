/** What was written but not saved yet, kept by the browser so that a closed tab or a power cut costs nothing. */

export interface Draft {
  /** The name it is to be saved under. */
  name: string;
  source: string;
}

const key = (kind: string, from: string): string => `nightfold-draft-${kind}-${from}`;

export function keptDraft(kind: 'method' | 'lettering', from: string): Draft | null {
  try {
    const found: unknown = JSON.parse(localStorage.getItem(key(kind, from)) ?? 'null');
    return isDraft(found) ? found : null;
  } catch {
    return null;
  }
}

export function keepDraft(kind: 'method' | 'lettering', from: string, draft: Draft | null): void {
  try {
    if (draft) localStorage.setItem(key(kind, from), JSON.stringify(draft));
    else localStorage.removeItem(key(kind, from));
  } catch {
    // A private window or a full store: then it lasts as long as the page.
  }
}

function isDraft(found: unknown): found is Draft {
  return typeof found === 'object' && found !== null && 'name' in found && 'source' in found && typeof found.name === 'string' && typeof found.source === 'string';
}

/** A name for a copy of `name` that is not taken: `two-swap-mine`, `two-swap-mine-2` and so on. */
export function copyName(name: string, taken: readonly string[]): string {
  const base = `${name.slice(0, 32).replace(/-mine(-\d+)?$/, '')}-mine`;
  for (let number = 1; ; number++) {
    const tried = number === 1 ? base : `${base}-${number}`;
    if (!taken.includes(tried)) return tried;
  }
}

/** What keeps `name` from naming one's own; empty if nothing does. The server says the rest (names that are taken). */
export function nameTrouble(name: string, kind: 'method' | 'lettering'): string {
  if (/^[a-z0-9][a-z0-9-]{0,39}$/.test(name)) return '';
  return `“${name.slice(0, 40)}” cannot name a ${kind}; a name is 1 to 40 small letters a to z, digits and hyphens, and begins with a letter or digit.`;
}
