// Which slips turn what was meant into what came out.
//
// A slip puts other turns in the place of a stretch of the meant ones.  Seen from the end of the solve it is one group
// element m, and slips at later places multiply: the cube that came out is the one that was meant, times m1, times m2 …
// in the order of their places.  So the pairs that explain a cube T are found by looking up T m2^-1 among all m1, and
// the triples by looking up T m3^-1 m2^-1, every combination being covered without being tried.
//
// A cube may come out turned as a whole.  Elements are told apart by how they leave the centres; the rotation that
// brings the centres home is put behind the product before it is compared.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "cube.hpp"
#include "finder.hpp"  // Watch, Stopped

namespace nightfold {

struct SlipEdit {
  int start, end;                    // the meant turns start..end-1 are replaced
  std::vector<std::uint8_t> turns;   // by these
  float weight;                      // the logarithm of its odds
};

// A turn made in place of another (alternative >= 0) or left out (-1), with the logarithm of its odds.
struct Alternative {
  int turn;
  float weight;
};

struct Inquest {
  std::vector<Cube> turns;                             // every turn there is, packed
  std::vector<std::uint8_t> meant;                     // the turns that were meant
  std::vector<SlipEdit> edits;                         // slips of whole steps
  std::vector<std::vector<Alternative>> alternatives;  // for each turn what may be made in its place
  std::vector<float> place_weight;                     // added for each place of the meant turns
  std::vector<Alternative> strays;                     // turns that may slip in between any two
  std::vector<Cube> rotations;                         // the 24 whole-cube rotations
};

// One slip of an explanation: kind 0 is edits[number]; kind 1 the turn at `place` with its alternative `number`; kind 2
// the stray `number` made before the turn at `place`.
struct SlipMade {
  int kind, place, number;
};

struct Explanation {
  float weight;
  std::vector<SlipMade> slips;
};

struct InquestResult {
  std::vector<Explanation> explanations;  // the likeliest first
  std::uint64_t singles = 0, pairs = 0, triples = 0;  // combinations covered
  Explanation nearest;                    // the single slip (or none) that leaves the fewest pieces wrong
  int nearest_wrong = 0;                  // how many that are
};

// `target`: the cube that came out, numbered so that the meant end is solved, its centres home.
InquestResult inquire(const Inquest& question, const Cube& target, int most_slips, std::size_t most_explanations,
                      std::size_t triple_singles, int threads, Watch& watch);

}  // namespace nightfold
