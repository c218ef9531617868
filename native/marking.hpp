// The nearest right memo of one orbit, and the cheapest way to explain what a learner wrote as tracing with slips.
//
// A right memo is any walk through the tracing of the orbit: forced along a cycle, free at every break.  The search runs
// over pairs of a place in the written memo and a moment of tracing (where the eye is, which sticker the cycle was
// entered at, which pieces were passed), each slip costing its weight, cheapest first; so it covers every right memo at
// once.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace nightfold {

enum class Slip : std::uint8_t {
  none,             // a right letter
  other_sticker,    // another sticker of the right piece
  beside,           // a sticker beside the right one on its face
  wrong,            // any other letter
  left_out,         // a letter left out
  unclosed,         // the letter that closes a cycle left out
  doubled,          // the letter before written again
  extra,            // a letter that has no business here
  exchanged,        // a letter and the next exchanged
  pairs_exchanged,  // a pair and the next exchanged
  broke_wrongly,    // broke into a piece that was solved or already passed
  closed_early,     // a cycle ended before it was closed
  missed_turned,    // a piece flipped or twisted in place forgotten
  missed_cycle,     // a whole cycle forgotten
  stopped_early,    // the memo ends before everything is solved
  too_long,         // the memo goes on after everything is solved
};
inline constexpr int kSlips = 16;

struct TracedOrbit {
  std::vector<std::uint8_t> seen;     // which sticker is seen at each place
  std::vector<std::uint8_t> piece;    // the piece of each sticker
  std::vector<std::uint32_t> beside;  // for each sticker the stickers beside it, a bit each
  int buffer = 0;                     // the buffer sticker
};

struct Step {
  Slip slip = Slip::none;
  int at = 0;                       // the letter of the memo it is about, counted from 0
  std::uint32_t expected = 0;       // the letters that are right there, a bit each (none once all is done)
  std::vector<std::uint8_t> right;  // what belongs here in place of what was written
  bool astray = false;              // an earlier slip was followed up, so `expected` and `right` go on from there
  bool strays = false;              // this slip was followed up
};

struct Marked {
  std::vector<Step> steps;  // in the order of the memo
  int cost = 0;
  int right_letters = 0;    // with how many letters a right memo can begin as this one does
  bool gave_up = false;     // too much is wrong to say what
};

// The cheapest explanation, in which a learner may also go on tracing from where a slip led.  Those that cost more than
// `most_cost`, or that need more than `most_moments` to be looked at, are given up.
Marked explain(const TracedOrbit& orbit, const std::vector<std::uint8_t>& memo, const std::array<int, kSlips>& weights,
               int most_cost, std::size_t most_moments);

// The right memo that takes the fewest single changes (a letter put in, left out or replaced) from the one written and
// begins with its first `keep` letters, which must be right.  Given up like an explanation.
struct Nearest {
  std::vector<std::uint8_t> letters;
  int changes = 0;
  bool gave_up = false;
};
Nearest nearest(const TracedOrbit& orbit, const std::vector<std::uint8_t>& memo, int keep, int most_changes,
                std::size_t most_moments);

}  // namespace nightfold
