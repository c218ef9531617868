/** What can be heard: short tones and a voice, both only if asked for. */

import type { Phase } from './clock';

/** For each phase that begins: the tones, in hertz, one after the other. */
const TONES: Partial<Record<Phase | 'limit', readonly number[]>> = { memorising: [660], executing: [440], stopped: [660, 880], limit: [330, 330, 330] };
const WORDS: Partial<Record<Phase | 'limit', string>> = { memorising: 'Memorise', executing: 'Eyes covered', stopped: 'Stopped', limit: 'Time is up' };
const LENGTH = 0.09;

let audio: AudioContext | null = null;

export const canSpeak = (): boolean => 'speechSynthesis' in window;

/** Say something; whatever is being said ends. */
export function say(text: string, rate = 1): void {
  if (!canSpeak()) return;
  speechSynthesis.cancel();
  const words = new SpeechSynthesisUtterance(text);
  words.lang = 'en';
  words.rate = rate;
  speechSynthesis.speak(words);
}

export function hush(): void {
  if (canSpeak()) speechSynthesis.cancel();
}

function beep(tones: readonly number[]): void {
  try {
    audio ??= new AudioContext();
    void audio.resume();
    const start = audio.currentTime + 0.01;
    tones.forEach((hertz, number) => {
      const at = start + number * LENGTH * 1.6;
      const tone = new OscillatorNode(audio!, { frequency: hertz });
      const loudness = new GainNode(audio!, { gain: 0 });
      // Swelling and fading, or it would click.
      loudness.gain.setValueAtTime(0, at);
      loudness.gain.linearRampToValueAtTime(0.25, at + 0.01);
      loudness.gain.linearRampToValueAtTime(0, at + LENGTH);
      tone.connect(loudness).connect(audio!.destination);
      tone.start(at);
      tone.stop(at + LENGTH);
    });
  } catch {
    // No sound on this machine.
  }
}

/** Let a change of the clock be heard. */
export function cue(what: Phase | 'limit', wanted: { beeps: boolean; spoken: boolean }): void {
  if (wanted.beeps) beep(TONES[what] ?? []);
  if (wanted.spoken && WORDS[what]) say(WORDS[what]);
}

/** Letters as they are read out: in pairs, with a rest between them. */
export function spokenLetters(orbit: string, letters: readonly string[]): string {
  const pairs = Array.from({ length: Math.ceil(letters.length / 2) }, (_, i) => letters.slice(2 * i, 2 * i + 2).join(', '));
  return letters.length ? `${orbit}: ${pairs.join('. ')}.` : `${orbit}: nothing.`;
}
