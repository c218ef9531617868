import { describe, expect, it } from 'vitest';
import { called, chosenOf, paramOf, valueOf, written, type Choice } from '../src/screens/handouts/choices';

const cards: Choice = { name: 'cards', about: '', kind: 'switch', usual: false, hint: '' };
const learners: Choice = { name: 'learners', about: '', kind: 'number', usual: 1, hint: 'N' };
const names: Choice = { name: 'their_names', about: '', kind: 'text', usual: null, hint: 'NAMES' };
const kind = { name: 'exercises', about: '', forms: [], choices: [cards, learners, names] };

describe('choices of a handout in the address', () => {
  it('are what is usual where nothing or nonsense stands', () => {
    const odd: Record<string, string>[] = [{}, { 'its-cards': '', 'its-learners': '', 'its-their-names': '' }, { 'its-cards': 'yes', 'its-learners': '2.5' }, { 'its-learners': 'many', cards: '1' }];
    for (const params of odd)
      expect(chosenOf(kind, params)).toEqual({});
  });

  it('come back as they were written', () => {
    for (const [choice, value] of [
      [cards, true],
      [learners, 20],
      [learners, -3],
      [names, 'Wick, Marram'],
    ] as const) {
      const text = written(choice, value);
      expect(text).not.toBeNull();
      expect(valueOf(choice, { [paramOf(choice)]: text ?? '' })).toBe(value);
    }
  });

  it('leave nothing there when they are the usual ones', () => {
    expect([written(cards, false), written(learners, 1), written(names, ''), written(names, null)]).toEqual([null, null, null, null]);
  });

  it('are sent alone', () => {
    expect(chosenOf(kind, { 'its-cards': '1', 'its-learners': '20', scramble: 'R U' })).toEqual({ cards: true, learners: 20 });
  });

  it('take the scramble of the cube at hand', () => {
    const scramble: Choice = { name: 'scramble', about: '', kind: 'text', usual: null, hint: 'TURNS' };
    expect(chosenOf({ ...kind, choices: [scramble] }, { scramble: 'R U' })).toEqual({ scramble: 'R U' });
  });

  it('are called by their names in words', () => {
    expect(called(names)).toBe('Their names');
  });
});
