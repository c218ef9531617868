/** What each screen is for and how it is used, by the screen's id. */

export interface Guide {
  readonly what: string;
  readonly steps: readonly string[];
}

export const GUIDE: Readonly<Record<string, Guide>> = {
  desk: {
    what: 'A scrambled cube comes in, and out come its letters and the turns that solve it, each with its reason.',
    steps: [
      'Type a scramble, have one dealt, or paint your own cube on the net. If a painted cube is impossible, the desk says which piece is wrong and offers the repair.',
      'Say how you hold the cube and which method and lettering you use; everything answers at once.',
      'Read the letters in pairs. Rest on one, and its sticker lights up on both pictures and its reason is told. At a break you may choose another sticker.',
      'Play the solve turn by turn, or cover your eyes: recall step after step and reveal to compare.',
      'The address of the page holds the cube and all choices, so a link or a bookmark brings them back.',
    ],
  },
  marking: {
    what: 'A learner writes the memo of the cube at hand, and it is compared with every right memo of that cube.',
    steps: [
      'Bring a cube from the desk.',
      'Write the letters of edges and corners, with or without spaces.',
      'Faults are marked on the letters and on the cube, with what is wrong and the memo as it should be. Any right order of cycles counts as right.',
    ],
  },
  inquest: {
    what: 'The attempt failed: which slip turns the plan into the cube that came out?',
    steps: [
      'Bring the cube of the attempt from the desk.',
      'Paint or type what came out, or write the turns that were made.',
      'The likeliest slips are listed first; play each beside the plan, and see what to practise.',
    ],
  },
  finding: {
    what: 'You say what an algorithm shall do, and the shortest ones that do it are searched, the easiest for the hands first.',
    steps: [
      'Pick stickers one after the other: each goes to the place of the next, the last to the first. Or name an algorithm that does it, or a method whose parity it shall mend.',
      'Choose the layers that may turn, and, if you like, how far to search and which pieces may end up anywhere.',
      'Watch the search and stop it whenever you like; leaving the screen stops it too.',
      'Compare what was found by ease and by turns, and press one to see it turned.',
    ],
  },
  methods: {
    what: 'Each method with all that follows from it, and each lettering on the net.',
    steps: [
      'See why turns are free or not, the setup of every target, and what was checked on the cube.',
      'Copy a method and change its file; it is checked at every stroke, and what does not work yet is said in words. Save it under a name of your own.',
      'Write symbols on the lettered net; missing and doubled ones are named. Yours are kept in your own folder, and those that come along never change.',
    ],
  },
};
