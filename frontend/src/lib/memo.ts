/** A memo as it is typed: read letter by letter as the server reads it, shown in pairs, traced on the cube. */

import type { CubeFace, Cycle, OrbitPlan } from './types';

/** One letter of a memo, or what stands where a letter should; `sticker` is null for what the lettering does not know. */
export interface Token {
  readonly text: string;
  /** Where it stands, counted from 1. */
  readonly column: number;
  readonly sticker: number | null;
}

/** Letters by sticker number, as `Plan.view.letters` has them for one orbit. */
export type Symbols = Readonly<Record<string, string>>;

// Two ways and back: it joins the small final sigma with the other one, as comparing without case should.
const fold = (text: string): string => text.toUpperCase().toLowerCase();
const BETWEEN = /[\p{Z}\p{P}\p{Cf}|+=<>→\s]/u;

export const longest = (symbols: Symbols): number => Math.max(1, ...Object.values(symbols).map((symbol) => [...symbol].length));

/** The letters of a text. Symbols of several characters are read longest first; spaces and punctuation mean nothing. */
export function readMemo(text: string, symbols: Symbols): Token[] {
  const exact = new Map<string, number>();
  const loose = new Map<string, number | null>();
  for (const [sticker, symbol] of Object.entries(symbols)) {
    exact.set(symbol, Number(sticker));
    // Where capital and small letters mean different stickers, only the exact symbol counts.
    loose.set(fold(symbol), loose.has(fold(symbol)) ? null : Number(sticker));
  }
  const chars = [...text.normalize('NFC')];
  const most = longest(symbols);
  const tokens: Token[] = [];
  let at = 0;
  while (at < chars.length) {
    const known = (): Token | null => {
      for (let length = Math.min(most, chars.length - at); length > 0; length--) {
        const part = chars.slice(at, at + length).join('');
        const sticker = exact.get(part) ?? loose.get(fold(part)) ?? null;
        if (sticker !== null) return { text: part, column: at + 1, sticker };
      }
      return null;
    };
    const token = known();
    if (token) {
      tokens.push(token);
      at += [...token.text].length;
    } else if (BETWEEN.test(chars[at] ?? '')) at++;
    else {
      let end = at + 1;
      while (end < Math.min(chars.length, at + most) && !BETWEEN.test(chars[end] ?? '')) end++;
      tokens.push({ text: chars.slice(at, end).join(''), column: at + 1, sticker: null });
      at = end;
    }
  }
  return tokens;
}

/** What is wrong with the first symbol that is none, in the server's words; empty if all are letters. */
export function unknownSentence(tokens: readonly Token[], orbit: string, lettering: string, symbols: Symbols): string {
  const token = tokens.find(({ sticker }) => sticker === null);
  if (!token) return '';
  const known = Object.values(symbols).toSorted().join(' ');
  const hint = longest(symbols) > 1 ? '; spaces tell where one letter ends and the next begins' : '';
  return `“${token.text}” at column ${token.column} of the ${orbit} memo is no letter of the ${orbit} in “${lettering}”; they are ${known}${hint}`;
}

/**
 * The text in pairs, letters written as the lettering writes them, and where the caret comes to stand. Letterings with
 * symbols of several characters, and texts without a letter, are left as they were typed.
 */
export function inPairs(text: string, caret: number, symbols: Symbols): { text: string; caret: number } {
  const tokens = readMemo(text, symbols);
  if (longest(symbols) > 1 || tokens.length === 0) return { text, caret };
  const before = readMemo(text.slice(0, caret), symbols).length;
  const shown = tokens.map(({ text: written, sticker }) => (sticker === null ? written : (symbols[sticker] ?? written)));
  let paired = '';
  let place = 0;
  shown.forEach((letter, i) => {
    paired += (i > 0 && i % 2 === 0 ? ' ' : '') + letter;
    if (i + 1 === before) place = paired.length;
  });
  return { text: paired, caret: place };
}

/** The sticker of a letter; null where the lettering has none. */
export function stickerOf(letter: string, symbols: Symbols): number | null {
  const found = Object.entries(symbols).find(([, symbol]) => symbol === letter);
  return found ? Number(found[0]) : null;
}

/** Which sticker a place shows: the one whose own colour it is, on the piece that has all the colours seen there. */
export function seenAt(view: CubeFace, place: number): number {
  const faces = 'ULFRBD';
  const sorted = (name: string): string => [...name].sort().join('');
  const together = (name: string): number[] => view.names.flatMap((other, i) => (sorted(other) === sorted(name) ? [i] : []));
  const home = (at: number): string => faces[view.scheme.indexOf(view.colours[at] ?? '')] ?? '';
  const piece = sorted(together(view.names[place] ?? '').map(home).join(''));
  return view.names.findIndex((name) => name[0] === home(place) && sorted(name) === piece);
}

/** A memo's letters as a reading, so that it can be drawn: a new cycle wherever tracing does not lead to the letter. */
export function asReading(view: CubeFace, orbit: string, buffer: string, stickers: readonly number[]): OrbitPlan {
  const symbols = view.letters[orbit] ?? {};
  const cycles: Cycle[] = [];
  let follows = seenAt(view, view.names.indexOf(buffer));
  stickers.forEach((sticker, i) => {
    const broken = sticker !== follows;
    if (i === 0 || broken) cycles.push({ kind: broken ? 'break' : 'buffer', targets: [], options: [], end: '' });
    cycles.at(-1)?.targets.push({ sticker, letter: symbols[sticker] ?? '', role: broken ? 'break' : i === 0 ? 'first' : 'next', why: '' });
    follows = seenAt(view, sticker);
  });
  const letters = stickers.map((sticker) => symbols[sticker] ?? '');
  return {
    orbit,
    buffer,
    letters,
    stickers: stickers.map((sticker) => view.names[sticker] ?? ''),
    cycles: cycles.map(({ targets }) => targets.map(({ letter }) => letter)),
    in_place: [],
    buffer_turned: false,
    odd: letters.length % 2 === 1,
    reasons: [],
    readings: cycles,
  };
}
