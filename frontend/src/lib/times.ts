/** Times as results count and are written: the server decides, this is what shows before it has answered. */

const TEN_MINUTES = 10 * 60 * 100;

/** A measured time in hundredths: cut under ten minutes, whole seconds from there on, halves up (WCA 9f1, 9f2). */
export function asResult(ms: number): number {
  const hundredths = Math.floor(ms / 10);
  return hundredths < TEN_MINUTES ? hundredths : Math.round(hundredths / 100) * 100;
}

const two = (number: number): string => String(number).padStart(2, '0');

/** Whole seconds: `0:47`, `12:04`, `1:00:00`. */
export function wholeClock(seconds: number): string {
  const minutes = Math.floor(seconds / 60);
  const hours = Math.floor(minutes / 60);
  return hours ? `${hours}:${two(minutes % 60)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}

/** A result in hundredths: `47.05`, `1:23.45`, `12:04`. */
export function clock(hundredths: number): string {
  if (hundredths >= TEN_MINUTES) return wholeClock(Math.floor(hundredths / 100));
  const seconds = Math.floor(hundredths / 100);
  const minutes = Math.floor(seconds / 60);
  const rest = two(hundredths % 100);
  return minutes ? `${minutes}:${two(seconds % 60)}.${rest}` : `${seconds}.${rest}`;
}

/** Measured milliseconds as they are written. */
export const measured = (ms: number): string => clock(asResult(ms));

/** A clock that runs: nobody reads hundredths while memorising. */
export const running = (ms: number): string => wholeClock(Math.floor(Math.max(0, ms) / 1000));

/** Milliseconds from a time as people write it, `47.05`, `1:23.45`, `12:04` or `1:00:00`; null for what is none. */
export function readClock(text: string): number | null {
  const found = /^(?:(?:(\d{1,6}):)?(\d{1,6}):)?(\d{1,6})(?:\.(\d{1,3}))?$/.exec(text.trim());
  if (!found) return null;
  const parts = found.slice(1, 4).filter((part) => part !== undefined);
  if (parts.slice(1).some((part) => part.length !== 2 || Number(part) > 59)) return null;
  return 1000 * parts.reduce((sum, part) => 60 * sum + Number(part), 0) + Number((found[4] ?? '').padEnd(3, '0'));
}

/** A day for people: `5 March 2026`. */
export function dayWords(day: string): string {
  const [year = 0, month = 1, date = 1] = day.split('-').map(Number);
  return new Date(Date.UTC(year, month - 1, date)).toLocaleDateString('en-GB', { day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' });
}
