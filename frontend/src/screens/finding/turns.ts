/** Which turns a search may use, as the text that the server takes: `R U M` or `R U2 Fw`. */

export const GROUPS: readonly { label: string; turns: readonly string[] }[] = [
  { label: 'faces', turns: ['U', 'D', 'L', 'R', 'F', 'B'] },
  { label: 'slices', turns: ['M', 'E', 'S'] },
  { label: 'wide', turns: ['Uw', 'Dw', 'Lw', 'Rw', 'Fw', 'Bw'] },
];
export const FACE_TURNS = 'U D L R F B';
/** What parity asks for is far for all faces together, and near for these, which the hands like best. */
export const PARITY_TURNS = 'R U F';

const words = (text: string): string[] => text.split(/\s+/).filter(Boolean);

/** The layer that a word of the text allows, `R` for R, R2 and R'. */
const layer = (word: string): string => word.replace(/[23'’]+$/, '').replace(/^([ulfrbd])$/, (small) => `${small.toUpperCase()}w`);

/** The layers that the text allows, wholly or in part. */
export const layersIn = (text: string): ReadonlySet<string> => new Set(words(text).map(layer));

/** The text with a layer allowed wholly, or no longer at all if it was. */
export function toggle(text: string, name: string): string {
  const kept = words(text).filter((word) => layer(word) !== name);
  return (kept.length < words(text).length ? kept : [...kept, name]).join(' ');
}
