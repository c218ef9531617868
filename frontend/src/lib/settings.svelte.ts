/** What the user prefers: kept by the server in a file, the theme also by the browser so that it shows at once. */

import { ask } from './api.svelte';
import type { Settings } from './types';

export type Theme = 'night' | 'day' | 'auto';

const THEME = 'nightfold-theme';

function remembered(): Theme {
  try {
    const found = localStorage.getItem(THEME);
    return found === 'night' || found === 'day' ? found : 'auto';
  } catch {
    return 'auto';
  }
}

class Kept {
  value = $state.raw<Settings>({});
  ready = $state(false);
  theme = $state<Theme>(remembered());

  async load(): Promise<void> {
    try {
      this.value = (await ask<Settings | null>('settings')) ?? {};
      const theme = this.value.theme;
      if (theme === 'night' || theme === 'day' || theme === 'auto') this.#show(theme);
    } catch {
      // Without the file everything has its default.
    }
    this.ready = true;
  }

  async save(patch: Settings): Promise<void> {
    this.value = { ...this.value, ...patch };
    await ask('settings', this.value, { method: 'PUT' }).catch(() => undefined);
  }

  setTheme(theme: Theme): void {
    this.#show(theme);
    void this.save({ theme });
  }

  #show(theme: Theme): void {
    this.theme = theme;
    try {
      localStorage.setItem(THEME, theme);
    } catch {
      // Private windows may forbid it; then the theme lasts as long as the page.
    }
    applyTheme(theme);
  }
}

/** Mark the page with the theme; `auto` leaves it to the system's preference. */
export function applyTheme(theme: Theme): void {
  if (theme === 'auto') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = theme;
}

export const settings = new Kept();
