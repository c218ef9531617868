/** What the server answers about methods and letterings, as far as these screens read it. */

export interface Verdict {
  turn: string;
  free: boolean;
  /** Allowed, but it moves the orbit just as a simpler free turn does. */
  spare: boolean;
  why: string;
}

export interface MethodOrbit {
  orbit: string;
  way: string;
  buffer: string;
  home: string;
  swap: string;
  label: string;
  free: string[];
  disturbs: string[];
  verdicts: Verdict[];
}

export interface Setup {
  sticker: string;
  letter: string;
  setup: string;
  undo: string;
  class: string;
  cost: number;
  why: string;
}

export interface OrbitSetups {
  orbit: string;
  buffer: string;
  home: string;
  swap: string;
  free: string[];
  setups: Setup[];
  unreachable: string[];
}

export interface Method {
  name: string;
  title: string;
  about: string;
  own: boolean;
  order: string[];
  hold: string[];
  breaks: string;
  lettering: string;
  orbits: MethodOrbit[];
  parity: { algorithm: string; label: string; searched: boolean };
  checks: string[];
  source: string;
  setups: { method: string; orbits: OrbitSetups[] };
}

export interface Lettering {
  name: string;
  own: boolean;
  size: number;
  /** For each orbit the symbol of each sticker by its name. */
  symbols: Record<string, Record<string, string>>;
  source: string;
}

export interface Problems {
  problems: string[];
}

export const failed = (answer: object): answer is Problems => 'problems' in answer;
