/** The choices of a kind of handout, as the address holds them: only those that are not the usual ones. */

import type { HandoutKind } from '../../lib/types';

export type Choice = HandoutKind['choices'][number];
export type Value = Choice['usual'];

/** The parameter that holds a choice. The scramble is that of the cube at hand; no other may be mistaken for what describes it. */
export function paramOf(choice: Choice): string {
  return choice.name === 'scramble' ? choice.name : `its-${choice.name.replaceAll('_', '-')}`;
}

/** What the address says of a choice, or what is usual. A number that is none is left to the usual one. */
export function valueOf(choice: Choice, params: Readonly<Record<string, string>>): Value {
  const text = params[paramOf(choice)];
  if (text === undefined || text === '') return choice.usual;
  if (choice.kind === 'switch') return text === '1';
  if (choice.kind === 'number') return Number.isInteger(Number(text)) ? Number(text) : choice.usual;
  return text;
}

/** What the address is to hold for a value; null where it is the usual one. */
export function written(choice: Choice, value: Value): string | null {
  if (value === choice.usual || value === '') return null;
  return choice.kind === 'switch' ? (value ? '1' : null) : String(value);
}

/** All choices that differ from the usual ones. */
export function chosenOf(kind: HandoutKind, params: Readonly<Record<string, string>>): Record<string, Value> {
  return Object.fromEntries(kind.choices.flatMap((choice) => (valueOf(choice, params) === choice.usual ? [] : [[choice.name, valueOf(choice, params)]])));
}

/** What a choice is called on the screen: its name in words. */
export function called(choice: Choice): string {
  return choice.name.replaceAll('_', ' ').replace(/^./, (c) => c.toUpperCase());
}
