import { describe, expect, it } from 'vitest';
import { parseTurns } from '../src/lib/cube';
import { placeNamed } from '../src/lib/stickers';
import type { Judged, Question } from '../src/lib/types';
import { aboutTime, answerText, following, isLong, litNow, tally, turnsSoFar, withTurn, type Given, type Stretch } from '../src/screens/drills/run';

const stretch = (count: number): Stretch => ({ exercise: 'trace', title: 'Trace', subjects: [], count, level: null, orbit: null });
const given = (right: boolean | null, ms: number): Given => ({
  id: String(ms),
  question: {} as Question,
  text: 'H',
  ms,
  judged: right === null ? null : ({ right, share: Number(right), say: '', expected: [], rating: 3, due: '' } satisfies Judged),
});

describe('a run of questions', () => {
  it('goes on to the next stretch when one is through, and ends behind the last', () => {
    const stretches = [stretch(2), stretch(1)];
    expect(following(stretches, 0, 1)).toEqual({ at: 0, asked: 1 });
    expect(following(stretches, 0, 2)).toEqual({ at: 1, asked: 0 });
    expect(following(stretches, 1, 1)).toBeNull();
    expect(following([], 0, 0)).toBeNull();
  });

  it('counts what was judged, and what waits apart from it', () => {
    const done = tally([given(true, 900), given(false, 3000), given(true, 1500), given(null, 1)]);
    expect(done).toMatchObject({ asked: 3, right: 2, waiting: 1, middleMs: 1500 });
    expect(done.wrong.map(({ ms }) => ms)).toEqual([3000]);
    expect(tally([])).toMatchObject({ asked: 0, right: 0, middleMs: null });
  });

  it('reminds of rest where practice is long', () => {
    expect([isLong(14, 59), isLong(15, 1), isLong(1, 60)]).toEqual([false, true, true]);
    expect([aboutTime(40), aboutTime(185)]).toEqual(['about 40 s', 'about 3 min']);
  });
});

describe('an answer', () => {
  it('is a line for each part', () => {
    expect(answerText([' KQ AB ', 'C'])).toBe('KQ AB\nC');
    expect(answerText(['', 'C'])).toBe('\nC');
  });

  it('gives up as a whole with a question mark alone', () => {
    expect(answerText(['?'])).toBe('?');
    expect(answerText(['?', ''])).toBe('?');
    expect(answerText(['KQ', '?'])).toBe('KQ\n?');
  });

  it('of turns is read as far as it goes', () => {
    expect(turnsSoFar("R U'")).toHaveLength(2);
    expect(turnsSoFar('R U (F')).toHaveLength(2);
    expect(turnsSoFar('nonsense')).toEqual([]);
  });

  it('grows turn by turn, the same face adding up', () => {
    expect(withTurn('', 'R')).toBe('R');
    expect(withTurn('R', "U'")).toBe("R U'");
    expect(withTurn('U R', 'R')).toBe('U R2');
    expect(withTurn('U R2', 'R')).toBe("U R'");
    expect(withTurn("U R'", 'R')).toBe('U');
  });
});

describe('what is lit', () => {
  it('travels with the turns of a setup, while the home target stays', () => {
    const asked = { form: 'turns', lit: ['UF', 'UL'] };
    const after = litNow(asked, parseTurns('U', 3));
    expect([...after.lit]).toEqual([placeNamed('UL')]);
    expect([...after.home]).toEqual([placeNamed('UL')]);
    expect([...litNow(asked, []).lit]).toEqual([placeNamed('UF')]);
  });

  it('is every sticker named where nothing is turned', () => {
    expect([...litNow({ form: 'letter', lit: ['BU'] }, []).lit]).toEqual([placeNamed('BU')]);
    expect(litNow({ form: 'letter', lit: [] }, []).lit.size).toBe(0);
  });
});
