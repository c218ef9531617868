/** What the system says of motion and light, followed as it changes. */

class Query {
  matches = $state(false);

  constructor(query: string) {
    const list = matchMedia(query);
    this.matches = list.matches;
    list.addEventListener('change', (event) => (this.matches = event.matches));
  }
}

export const stillness = new Query('(prefers-reduced-motion: reduce)');
export const narrow = new Query('(max-width: 719px)');
export const daylight = new Query('(prefers-color-scheme: light)');
