/** A run of questions, without a clock, a server or a page: what comes next, what an answer is, how it went. */

import { apply, NotationError, parseTurns, type Turn } from '../../lib/cube';
import { placeNamed } from '../../lib/stickers';
import type { Judged, Question } from '../../lib/types';

/** So many questions of one exercise, `subjects` first. */
export interface Stretch {
  readonly exercise: string;
  readonly title: string;
  readonly subjects: readonly string[];
  readonly count: number;
  readonly level: number | null;
  readonly orbit: string | null;
  /** About how long all of it takes. */
  readonly seconds: number;
  /** For how many seconds a memo to hold is shown (0: as long as wanted), and how many pass then; by its level if null. */
  readonly shown?: number | null;
  readonly delay?: number | null;
}

/** An answer as it was given and judged; `judged` is null while it waits for the server. */
export interface Given {
  readonly id: string;
  readonly question: Question;
  readonly text: string;
  readonly ms: number;
  readonly judged: Judged | null;
}

export const GIVE_UP = '?';
/** From so many seconds on, hands and eyes are reminded of; as in the terminal. */
const LONG_SECONDS = 15 * 60;

export const isLong = (stretches: readonly Stretch[]): boolean => stretches.reduce((sum, { seconds }) => sum + seconds, 0) >= LONG_SECONDS;

/** Where the next question comes from, after `asked` of the stretch `at`; null at the end. */
export function following(stretches: readonly Stretch[], at: number, asked: number): { at: number; asked: number } | null {
  if (asked < (stretches[at]?.count ?? 0)) return { at, asked };
  return at + 1 < stretches.length ? { at: at + 1, asked: 0 } : null;
}

/** The stretch `at` ends after `asked` questions, since it takes too long; what is left of it comes behind all others. */
export function cutShort(stretches: readonly Stretch[], at: number, asked: number): readonly Stretch[] {
  const whole = stretches[at];
  if (!whole || asked >= whole.count) return stretches;
  const part = (count: number): Pick<Stretch, 'count' | 'seconds'> => ({ count, seconds: (whole.seconds * count) / whole.count });
  const rest = { ...whole, subjects: whole.subjects.slice(asked), ...part(whole.count - asked) };
  return [...stretches.slice(0, at), { ...whole, ...part(asked) }, ...stretches.slice(at + 1), rest];
}

/** For how long the stretch `at` may go on, of so much time for it and all behind it: its share. */
export function shareOf(stretches: readonly Stretch[], at: number, left: number): number {
  const rest = stretches.slice(at).reduce((sum, { seconds }) => sum + seconds, 0);
  return rest > 0 ? (left * (stretches[at]?.seconds ?? 0)) / rest : left;
}

/** The lines of an answer as the server takes them. A question mark gives up on its line and on empty ones below. */
export function answerText(lines: readonly string[]): string {
  const trimmed = lines.map((line) => line.trim());
  const from = trimmed.indexOf(GIVE_UP);
  const filled = trimmed.map((line, at) => (line || from < 0 || at < from ? line : GIVE_UP));
  return filled.every((line) => line === GIVE_UP) ? GIVE_UP : filled.join('\n');
}

/** The first line of an answer in which nothing stands, and what is said of it; null where there is none. */
export function nothingIn(text: string, question: Pick<Question, 'parts' | 'may_be_none'>): { line: number; say: string } | null {
  if (text.trim() === GIVE_UP) return null;
  const line = text.split('\n').findIndex((one) => !one.trim());
  if (line < 0) return null;
  const part = question.parts[line];
  const none = question.may_be_none && part !== 'parity' ? '“-” for none, or ' : '';
  return { line, say: `Nothing was written${part ? ` for ${part === 'parity' ? '' : 'the '}${part}` : ''}; write ${none}“?” if you do not know.` };
}

/** A whole number or a time that was typed: what it is, or why it cannot be. Nothing typed is `usual`. */
export function numberIn(text: string, range: { least: number; most: number }, usual: number | null, what: string): { value: number | null; trouble: string } {
  if (!text.trim()) return { value: usual, trouble: '' };
  const value = Number(text);
  if (value >= range.least && value <= range.most) return { value, trouble: '' };
  return { value: null, trouble: `${Number.isNaN(value) ? `“${text.slice(0, 12)}”` : value} ${what} cannot be; ${range.least} to ${range.most} can.` };
}

/** What is written in a line, by the form of the answer. */
export function lineHint(form: string): string {
  const hints: Record<string, string> = {
    letter: 'Letter',
    sticker: 'Sticker, by its faces',
    letters: 'Letters',
    turns: 'Turns',
    'yes-no': 'Yes or no',
    pieces: 'Pieces, by their faces; - for none',
    word: 'Word',
  };
  return hints[form] ?? 'Answer';
}

export interface Tally {
  readonly asked: number;
  readonly right: number;
  readonly waiting: number;
  /** Half of the answers came quicker; null without any. */
  readonly middleMs: number | null;
  readonly wrong: readonly Given[];
}

export function tally(given: readonly Given[]): Tally {
  const judged = given.filter((one) => one.judged);
  const times = judged.map(({ ms }) => ms).sort((a, b) => a - b);
  return {
    asked: judged.length,
    right: judged.filter((one) => one.judged?.right).length,
    waiting: given.length - judged.length,
    middleMs: times[Math.floor(times.length / 2)] ?? null,
    wrong: judged.filter((one) => !one.judged?.right),
  };
}

/** The turns that a text holds, as far as it can be read: the last word may still be under way. */
export function turnsSoFar(text: string, size = 3): readonly Turn[] {
  for (const part of [text, text.replace(/\S+\s*$/, '')]) {
    try {
      return parseTurns(part, size);
    } catch (trouble) {
      if (!(trouble instanceof NotationError)) throw trouble;
    }
  }
  return [];
}

/** One more turn behind a text; the same face again adds up, and what adds up to nothing goes. */
export function withTurn(text: string, turn: string): string {
  const words = text.trim().split(/\s+/).filter(Boolean);
  const last = words.at(-1) ?? '';
  const quarters = (word: string): number => (word.endsWith('2') ? 2 : word.endsWith("'") ? 3 : 1);
  const base = (word: string): string => word.replace(/['2]$/, '');
  if (!last || base(last) !== base(turn)) return [...words, turn].join(' ');
  const sum = (quarters(last) + quarters(turn)) % 4;
  return [...words.slice(0, -1), ...(sum ? [base(turn) + ['', '', '2', "'"][sum]!] : [])].join(' ');
}

/**
 * What is lit on the cube after some turns: the sticker to be set up travels with them, the place it is wanted at
 * stays. Other questions turn nothing, and all their stickers are lit alike.
 */
export function litNow(question: Pick<Question, 'form' | 'lit'>, turns: readonly Turn[]): { lit: Set<number>; home: Set<number> } {
  const places = question.lit.flatMap((name) => placeNamed(name) ?? []);
  const [sticker, home] = places;
  if (question.form !== 'turns' || sticker === undefined) return { lit: new Set(places), home: new Set() };
  const marks = apply<number>(
    Array.from({ length: 54 }, (_, place) => place),
    turns,
    3,
  );
  return { lit: new Set([marks.indexOf(sticker)]), home: new Set(home === undefined ? [] : [home]) };
}

/** `about 3 min`, or seconds below one minute. */
export const aboutTime = (seconds: number): string => (seconds >= 60 ? `about ${Math.round(seconds / 60)} min` : `about ${Math.round(seconds)} s`);
