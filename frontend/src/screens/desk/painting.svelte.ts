/** The net under the brush. What is possible goes into the address as `net`, what is not (yet) as `paint`. */

import { address } from '../../lib/address.svelte';
import { Answer, ask, server } from '../../lib/api.svelte';
import { hand } from '../../lib/hand.svelte';
import { parseNet, writeNet } from '../../lib/net';
import { COLOURS } from '../../lib/paint';
import type { Diagnosis } from '../../lib/types';

export const SIZE = 3;
/** A place not painted yet, as it stands in the address. */
export const BLANK = '-';

export const solvedNet = (): string[] => Array.from({ length: 6 * SIZE * SIZE }, (_, i) => COLOURS[Math.floor(i / (SIZE * SIZE))] ?? BLANK);

/** Only the six centres painted. */
export const bareNet = (): string[] => solvedNet().map((symbol, i) => (i % 9 === 4 ? symbol : BLANK));

/** What a net is, for whoever typed something else. */
export const WHOLE = 'A net has 54 colour initials: the rows of U, then the band L F R B, then the rows of D.';

/** A net as the address writes it; blanks are read as well. Null if it is no whole net. */
export function readNet(text: string): string[] | null {
  return parseNet(text.replaceAll(BLANK, 'ø'), SIZE)?.map((symbol) => (symbol === 'Ø' ? BLANK : symbol)) ?? null;
}

class Painting {
  readonly diagnosis = new Answer<string, Diagnosis>((net, signal) => ask<Diagnosis>('diagnose', { net }, { signal }), 60);

  /** Where nothing was painted yet, the cube at hand, or a solved one. */
  get colours(): string[] {
    return readNet(address.get('paint') || address.get('net')) ?? (address.get('scramble') ? hand.plan?.view.colours : undefined) ?? solvedNet();
  }

  /** What the address holds is no whole net, as when a link was cut off. */
  get unreadable(): boolean {
    const text = address.get('paint') || address.get('net');
    return text !== '' && readNet(text) === null;
  }

  get blanks(): number {
    return this.colours.filter((symbol) => symbol === BLANK).length;
  }

  /** Places where something is wrong; that a colour is there too often marks all its stickers, so only if nothing else is known. */
  readonly wrong: ReadonlySet<number> = $derived.by(() => {
    const problems = this.diagnosis.value?.problems ?? [];
    const plain = problems.filter(({ kind, stickers }) => kind !== 'count' && stickers.length > 0);
    return new Set((plain.length ? plain : problems).flatMap(({ stickers }) => stickers));
  });

  put(colours: readonly string[]): void {
    address.set({ paint: writeNet(colours, SIZE), net: null, scramble: null, at: null, eyes: null, breaks: null });
  }

  paint(place: number, colour: string): void {
    const colours = this.colours;
    if (colours[place] !== colour) this.put(colours.with(place, colour));
  }

  /** Call in an effect: has the net diagnosed, and hands a possible one on to be planned. */
  watch(): void {
    void server.epoch;
    const text = address.get('paint');
    const whole = text !== '' && !this.unreadable && this.blanks === 0;
    this.diagnosis.put(whole ? writeNet(this.colours, SIZE) : null);
    if (whole && !this.diagnosis.busy && this.diagnosis.value?.possible) address.set({ net: text, paint: null });
  }
}

export const painting = new Painting();
