/** Server-sent events taken apart as their bytes come in. */

export interface ServerEvent {
  readonly event: string;
  readonly data: string;
}

/** Feed it text in pieces of any length; it gives back the events that are whole, and keeps the rest for later. */
export class EventReader {
  #rest = '';

  read(text: string): ServerEvent[] {
    const blocks = (this.#rest + text).split(/\r?\n\r?\n/);
    this.#rest = blocks.pop() ?? '';
    return blocks.flatMap((block) => {
      let event = 'message';
      const data: string[] = [];
      for (const line of block.split(/\r?\n/)) {
        const [, name = '', value = ''] = /^([^:]*):? ?(.*)$/.exec(line) ?? [];
        if (name === 'event') event = value;
        else if (name === 'data') data.push(value);
      }
      return data.length ? [{ event, data: data.join('\n') }] : [];
    });
  }
}
