/** A lettering of the 3x3x3 on the net: symbols by place, what is wrong with them, and the file's text. */

import { FACES } from '../../lib/cube';
import { clockwise, NAMES, orbitOf, placeNamed, type OrbitName } from '../../lib/stickers';
import type { Lettering } from './types';

export type Symbols = Readonly<Record<number, string>>;

export interface Fault {
  readonly places: readonly number[];
  readonly sentence: string;
}

const ORBITS: readonly OrbitName[] = ['edges', 'corners'];
/** All places that carry a letter. */
export const LETTERED: readonly number[] = NAMES.flatMap((_, place) => (orbitOf(place) ? [place] : []));

export function symbolsOf(lettering: Lettering): Symbols {
  return Object.fromEntries(
    ORBITS.flatMap((orbit) =>
      Object.entries(lettering.symbols[orbit] ?? {}).flatMap(([name, symbol]) => {
        const place = placeNamed(name);
        return place === null ? [] : [[place, symbol] as const];
      }),
    ),
  );
}

/** Gaps and doubles, each in one sentence, gaps first. */
export function faults(symbols: Symbols): Fault[] {
  const found: Fault[] = [];
  for (const orbit of ORBITS) {
    const mine = LETTERED.filter((place) => orbitOf(place) === orbit);
    const gaps = mine.filter((place) => !symbols[place]?.trim());
    if (gaps.length) {
      const listed = gaps.slice(0, 6).map((place) => NAMES[place]).join(', ') + (gaps.length > 6 ? ' …' : '');
      found.push({ places: gaps, sentence: `${gaps.length === 1 ? 'A sticker' : `${gaps.length} stickers`} of the ${orbit} ${gaps.length === 1 ? 'has' : 'have'} no symbol: ${listed}.` });
    }
  }
  for (const orbit of ORBITS) {
    const bySymbol = new Map<string, number[]>();
    for (const place of LETTERED) {
      const symbol = symbols[place]?.trim().normalize('NFC');
      if (symbol && orbitOf(place) === orbit) bySymbol.set(symbol, [...(bySymbol.get(symbol) ?? []), place]);
    }
    for (const [symbol, places] of bySymbol)
      if (places.length > 1)
        found.push({ places, sentence: `“${symbol}” stands for ${places.map((place) => NAMES[place]).join(' and ')}; each symbol may be used once among the ${orbit}.` });
  }
  return found;
}

/** A TOML basic string. */
const quoted = (text: string): string =>
  `"${text.replace(/[\\"]/g, '\\$&').replace(/[\u0000-\u001f\u007f]/g, (char) => `\\u${char.charCodeAt(0).toString(16).padStart(4, '0')}`)}"`;

function table(name: string, orbit: OrbitName, symbols: Symbols): string {
  const rows = FACES.map((face) => `${face} = ${quoted(clockwise(orbit, face).map((place) => symbols[place]).join(' '))}`);
  return `[${name}]\n${rows.join('\n')}\n`;
}

/**
 * The text of a lettering file with these symbols. Whatever else `source` says (its name, letters of other sizes) stays.
 * Where edges and corners have the same letters on every face, one table serves for every kind of piece. There must be
 * no gaps.
 */
export function writeLettering(source: string, symbols: Symbols): string {
  const same = FACES.every((face) => {
    const [edges, corners] = ORBITS.map((orbit) => clockwise(orbit, face).map((place) => symbols[place]).join(' '));
    return edges === corners;
  });
  const gone = same ? ['every-orbit', 'edges', 'corners'] : ['edges', 'corners'];
  const kept = without(source, gone).trimEnd();
  const tables = same ? [table('every-orbit', 'edges', symbols)] : ORBITS.map((orbit) => table(orbit, orbit, symbols));
  return `${kept ? `${kept}\n\n` : ''}${tables.join('\n')}`;
}

/** The source without the tables of these names and the tables within them. */
function without(source: string, names: readonly string[]): string {
  let skipping = false;
  return source
    .split('\n')
    .filter((line) => {
      const name = /^\s*\[\s*([\w-]+)(?:\s*\.\s*\w+)*\s*\]\s*(#.*)?$/.exec(line)?.[1];
      if (name !== undefined) skipping = names.includes(name);
      return !skipping;
    })
    .join('\n');
}

/** The text as a file of its own called `name`: what it called itself, and what it said of itself, is another's. */
export function copied(source: string, name: string, from: string): string {
  const tables = source.search(/^\s*\[/m);
  const [head, rest] = tables < 0 ? [source, ''] : [source.slice(0, tables), source.slice(tables)];
  const own = head
    .replace(/^(\s*)name\s*=.*$/m, (_, space: string) => `${space}name = ${quoted(name)}`)
    .replace(/^(\s*)about\s*=\s*"(?!"").*$/m, (_, space: string) => `${space}about = ${quoted(from === name ? '' : `Made from ${from}.`)}`);
  return own + rest;
}
