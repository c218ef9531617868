/** The screens, in the order of the navigation. One whose file is not there yet is simply not shown. */

import type { Component } from 'svelte';

export interface Screen {
  /** What stands in the address behind `#/`. */
  id: string;
  title: string;
  /** One line for the navigation's tooltip and the page title. */
  about: string;
  load: () => Promise<{ default: Component }>;
}

const files = import.meta.glob<{ default: Component }>('./screens/*.svelte');

const LISTED: readonly { id: string; title: string; about: string; file: string }[] = [
  { id: 'desk', title: 'Desk', about: 'From a scrambled cube to letters and steps', file: 'Desk' },
  { id: 'marking', title: 'Marking', about: 'Type a memo and have it marked', file: 'Marking' },
  { id: 'inquest', title: 'Inquest', about: 'Why an attempt failed', file: 'Inquest' },
  { id: 'attempt', title: 'Attempt', about: 'Time an attempt and keep it', file: 'Attempt' },
  { id: 'drills', title: 'Drills', about: 'Practise one thing at a time, and what is due today', file: 'Drills' },
  { id: 'words', title: 'Words', about: 'Words for letter pairs, your own first', file: 'Words' },
  { id: 'logbook', title: 'Logbook', about: 'Your attempts, and what became better', file: 'Logbook' },
  { id: 'handouts', title: 'Handouts', about: 'Pages to print and hand round', file: 'Handouts' },
  { id: 'finding', title: 'Finding', about: 'Search for algorithms', file: 'Finding' },
  { id: 'methods', title: 'Methods', about: 'Methods and lettering, yours and ours', file: 'Methods' },
  { id: 'help', title: 'Help', about: 'What each screen is for, and common questions', file: 'Help' },
];

export const SCREENS: readonly Screen[] = LISTED.flatMap(({ file, ...screen }) => {
  const load = files[`./screens/${file}.svelte`];
  return load ? [{ ...screen, load }] : [];
});
