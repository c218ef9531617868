/** What each screen is for and how it is used, by the screen's id. */

export interface Guide {
  readonly what: string;
  readonly steps: readonly string[];
}

export const GUIDE: Readonly<Record<string, Guide>> = {
  desk: {
    what: 'A scrambled cube comes in, and out come its letters and the turns that solve it, each with its reason.',
    steps: [
      'Type a scramble, have one dealt (any, or only such as you wish for), or paint your own cube on the net. If a painted cube is impossible, the desk says which piece is wrong and offers the repair.',
      'Say how you hold the cube and which method and lettering you use; everything answers at once.',
      'Read the letters in pairs. Rest on one, and its sticker lights up on both pictures and its reason is told. At a break you may choose another sticker.',
      'Beside the letters stands how this cube compares with all others; press it for the exact shares.',
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
      'Paint or type what came out, or write the turns that were made. Escape stops the search.',
      'The likeliest slips are listed first; play each beside the plan, and see what to practise.',
    ],
  },
  attempt: {
    what: 'A timed attempt, from the first look at the cube to the verdict, kept in your logbook step by step.',
    steps: [
      'Deal a cube or several, or type a scramble, and check the picture.',
      'Hold the space bar, or a finger on the large field, for half a second and let go: the clock starts with memorising. Press once when your eyes are covered, once more when you are done; b takes the blindfold off again, Escape gives up.',
      'Say how it came out. After a DNF tell what lies on the table, and the inquest is held and kept.',
      'Close the window or pull the plug in between: nothing is lost, and you are asked how to go on.',
    ],
  },
  logbook: {
    what: 'All attempts, the newest first, and what became better.',
    steps: [
      'Open an attempt to see its cube and its mistakes, to write a note, or to hold an inquest that was put off.',
      'Under Progress see how often you solve, your times and bests, what makes the difference, what each mistake costs and what the drills left behind.',
      'With nothing in it yet, load the demo and look round; it is marked, and goes without a trace.',
    ],
  },
  drills: {
    what: 'One thing is practised at a time, and what you know less well comes again sooner.',
    steps: [
      'Take today’s practice in the minutes you have, block by block with its reason, or any one exercise.',
      'Answer by keyboard: Enter sends, a question mark is “I do not know”, Escape leaves. A setup is turned on the cube as you type it, and any right one counts.',
      'Every answer is judged with a sentence and kept at once; while the server is away it waits in the browser.',
    ],
  },
  words: {
    what: 'Words for letter pairs, your own first, and what all pairs still lack.',
    steps: [
      'Type a pair or choose it in the grid, and keep a suggestion or give a word of your own.',
      'Have the memo of the cube at hand told in words and phrases, along your own route if you like.',
      'Bring words in from a CSV file; you see first what would come of it, and with a bad row nothing is taken.',
    ],
  },
  handouts: {
    what: 'Pages to print and hand round, for your method and your letters.',
    steps: [
      'Choose what to print, and what it leaves to choose.',
      'Say for which hold, method and lettering it is, on which paper, in colour or for a copier, in large print if someone needs it.',
      'Look at the pages and fetch the PDF. At the foot of each stands what it is for and the command that prints it again.',
    ],
  },
  finding: {
    what: 'You say what an algorithm shall do, and the shortest ones that do it are searched, the easiest for the hands first.',
    steps: [
      'Pick stickers one after the other: each goes to the place of the next, the last to the first. Or name an algorithm that does it, or a method whose parity it shall mend.',
      'Choose the layers that may turn, and, if you like, how far to search and which pieces may end up anywhere.',
      'Watch the search and stop it whenever you like, also with Escape; leaving the screen stops it too.',
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
