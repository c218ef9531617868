// Which slips turn what was meant into what came out.
//
// A slip puts other turns in the place of a stretch of the meant ones.  Seen from the end of the solve it is one group
// element m, and slips at later places multiply: the cube that came out is the one that was meant, times m1, times m2 …
// in the order of their places.  So the pairs that explain a cube T are found by looking up T m2^-1 among all m1, and
// the triples by looking up T m3^-1 m2^-1 among all m1: every combination is covered, few are tried.
//
// Slips with one effect are one class; places and odds are asked only of what a look-up finds.  A split slip changes two
// stretches, m = a b with other slips possibly in between: a x b = T is looked up as x = a^-1 T b^-1.
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

// The meant turns start..end-1 are replaced by `turns`.
struct Stretch {
  int start, end;
  std::vector<std::uint8_t> turns;
};

struct SlipEdit {
  Stretch stretch;
  float weight;  // the logarithm of its odds
};

struct SplitEdit {
  Stretch first, second;  // the second lies behind the first
  float weight;
};

// A turn made in place of another (turn >= 0) or left out (-1), or a stray one, with the logarithm of its odds.
struct Alternative {
  int turn;
  float weight;
};

struct Inquest {
  std::vector<Cube> turns;                             // every turn there is, packed
  std::vector<std::uint8_t> meant;                     // the turns that were meant
  std::vector<SlipEdit> edits;                         // slips of whole steps
  std::vector<SplitEdit> splits;                       // slips of two stretches
  std::vector<std::vector<Alternative>> alternatives;  // for each turn what may be made in its place
  std::vector<Alternative> strays;                     // turns that may slip in between any two
  std::vector<Cube> rotations;                         // the 24 whole-cube rotations, none first
};

// One slip of an explanation: kind 0 is edits[number]; kind 1 the turn at `place` with its alternative `number`; kind 2
// the stray `number` made before the turn at `place`; kind 3 is the first part of splits[number] and kind 4 its second.
struct SlipMade {
  int kind, place, number;
};

struct Explanation {
  float weight = 0;
  std::vector<SlipMade> slips;  // in the order of turning
};

struct InquestOptions {
  int most_slips = 3;                  // 0 to 3 slips are combined
  std::size_t most_explanations = 400;
  std::size_t triple_singles = 20000;  // triples are made of so many likeliest slips
  int threads = 1;
  bool nearest = true;                 // whether what comes nearest is looked for where nothing explains the cube
};

struct InquestResult {
  std::vector<Explanation> explanations;              // the likeliest first; none holds a slip that could be left away
  std::uint64_t singles = 0, pairs = 0, triples = 0;  // combinations covered
  Explanation nearest;                                // what leaves the fewest pieces wrong where nothing explains all
  int nearest_wrong = 0;                              // how many that are
};

// Everything about one plan that is asked again for each cube that may have come out.
class InquestDesk {
 public:
  explicit InquestDesk(const Inquest& question);

  // `target`: the cube that came out, numbered so that the meant end is solved, its centres home.  Throws Stopped.
  InquestResult search(const Cube& target, const InquestOptions& options, Watch& watch) const;

  std::size_t singles() const { return singles_.size(); }

 private:
  struct Single {
    SlipMade slip;
    int start, end;
    float weight;
    std::int32_t next;  // the next likely one of the same class, -1 at the end
    int split;          // which split it is, or -1
  };
  struct Class {
    int first, last;       // of its members in singles_, the likeliest first
    int held;              // which rotation its centres are
    int min_end, max_start;
    float weight;          // of its likeliest member
  };
  struct Split {
    Cube first_back, second_back;
    int first_end, second_start;
    int single;
    bool plain;  // both parts leave the centres home
  };
  class Search;

  int held(const Cube& cube) const;
  int rotation_after(int one, int other) const { return rotation_products_[static_cast<std::size_t>(one * 24 + other)]; }
  void make_singles(const Inquest& question);
  void make_classes(const std::vector<Cube>& effects);
  void make_index();

  std::vector<Cube> rotations_;
  std::vector<int> rotation_products_;
  std::vector<Single> singles_;   // the likeliest first
  std::vector<Class> classes_;    // the likeliest first
  std::vector<Cube> effects_, backs_;  // of each class
  std::vector<Split> splits_;
  std::vector<int> holds_;        // the rotations that occur
  int bits_ = 0;
  std::vector<std::int32_t> first_, next_;
  std::vector<std::uint64_t> prints_, filter_;
};

}  // namespace nightfold
