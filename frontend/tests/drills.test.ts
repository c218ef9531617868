import { describe, expect, it } from 'vitest';
import { parseTurns } from '../src/lib/cube';
import { placeNamed } from '../src/lib/stickers';
import type { Judged, Question } from '../src/lib/types';
import { aboutTime, answerText, cutShort, following, isLong, litNow, nothingIn, numberIn, shareOf, tally, turnsSoFar, withTurn, type Given, type Stretch } from '../src/screens/drills/run';

const stretch = (count: number, seconds = 10 * count): Stretch => ({ exercise: 'trace', title: 'Trace', subjects: [], count, seconds, level: null, orbit: null });
const given = (right: boolean | null, ms: number): Given => ({
  id: String(ms),
  question: {} as Question,
  text: 'H',
  ms,
  judged: right === null ? null : ({ right, share: Number(right), size: 1, say: '', expected: [], rating: 3, due: '' } satisfies Judged),
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

  it('reminds of rest where practice is long, by its time and not by its questions', () => {
    expect(isLong([stretch(20, 20 * 92)])).toBe(true);
    expect(isLong([stretch(200, 899)])).toBe(false);
    expect(isLong([stretch(5, 450), stretch(5, 450)])).toBe(true);
  });

  it('gives each stretch its share of the time, and what was cut short comes at the end', () => {
    const stretches = [{ ...stretch(4, 40), subjects: ['a', 'b', 'c'] }, stretch(2, 60)];
    expect(shareOf(stretches, 0, 200)).toBe(80);
    expect(shareOf(stretches, 1, 200)).toBe(200);
    const cut = cutShort(stretches, 0, 1);
    expect(cut.map(({ count, seconds }) => [count, seconds])).toEqual([
      [1, 10],
      [2, 60],
      [3, 30],
    ]);
    expect(cut[2]?.subjects).toEqual(['b', 'c']);
    expect(following(cut, 0, 1)).toEqual({ at: 1, asked: 0 });
    expect(cutShort(stretches, 0, 4)).toBe(stretches);
  });

  it('tells times', () => {
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
    expect(answerText(['KQ', '?', ''])).toBe('KQ\n?\n?');
    expect(answerText(['', '?'])).toBe('\n?');
    expect(answerText(['KQ', '?'])).toBe('KQ\n?');
  });

  it('that is empty is none', () => {
    const asked = { parts: ['edges', 'corners', 'parity'], may_be_none: true };
    expect(nothingIn('', { parts: [], may_be_none: false })).toEqual({ line: 0, say: 'Nothing was written; write “?” if you do not know.' });
    expect(nothingIn('KQ\n \nyes', asked)).toEqual({ line: 1, say: 'Nothing was written for the corners; write “-” for none, or “?” if you do not know.' });
    expect(nothingIn('KQ\n-\n', asked)?.say).toBe('Nothing was written for parity; write “?” if you do not know.');
    expect([nothingIn('?', asked), nothingIn('KQ\n-\nyes', asked)]).toEqual([null, null]);
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

describe('a number that is typed', () => {
  const minutes = (text: string): ReturnType<typeof numberIn> => numberIn(text, { least: 1, most: 240 }, 20, 'minutes');
  it('is what it says, or nobody wanted any', () => {
    expect([minutes('5').value, minutes('').value, minutes('1').value, minutes('240').value]).toEqual([5, 20, 1, 240]);
  });
  it('is refused with a sentence, never quietly taken for another', () => {
    expect(minutes('0')).toEqual({ value: null, trouble: '0 minutes cannot be; 1 to 240 can.' });
    expect(minutes('-4').trouble).toBe('-4 minutes cannot be; 1 to 240 can.');
    expect(minutes('241').value).toBeNull();
    expect(minutes('many').trouble).toBe('“many” minutes cannot be; 1 to 240 can.');
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
