/** What the stickers are painted with; the same paints as in the printed pictures. */

const PAINTS: Readonly<Record<string, string>> = {
  W: '#f6f1e4',
  O: '#f5872f',
  G: '#2ea866',
  R: '#d8324a',
  B: '#3b6fdb',
  Y: '#f7d64a',
};
const ORDER = 'WOGRBY';
export const COLOUR_NAMES: Readonly<Record<string, string>> = {
  W: 'white',
  O: 'orange',
  G: 'green',
  R: 'red',
  B: 'blue',
  Y: 'yellow',
};
export const COLOURS: readonly string[] = [...ORDER];
/** A sticker that nothing is known of, or that is covered. */
export const COVERED = '#222a40';

const DARK_INK = '#10131c';
const LIGHT_INK = '#fffdf7';

/** The paint of a colour symbol; symbols other than the six initials take the paint of the face they belong to. */
export function paintOf(symbol: string, scheme: readonly string[] = COLOURS): string {
  return PAINTS[symbol] ?? PAINTS[ORDER[scheme.indexOf(symbol)] ?? ''] ?? COVERED;
}

function luminance(paint: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = parseInt(paint.slice(at, at + 2), 16) / 255;
    return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

/** The contrast of two paints, 1 to 21, as the Web Content Accessibility Guidelines define it. */
export function contrast(a: string, b: string): number {
  const [low = 0, high = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}

/** Dark or light ink for text on a paint, whichever contrasts more. */
export function inkOn(paint: string): string {
  return contrast(paint, DARK_INK) >= contrast(paint, LIGHT_INK) ? DARK_INK : LIGHT_INK;
}

export const colourName = (symbol: string): string => COLOUR_NAMES[symbol] ?? symbol;
