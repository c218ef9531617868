// Solving the 3x3x3 in two phases, and optimally.
//
// The two-phase algorithm is H. Kociemba's, as published.  Let G be the group of all states and H the subgroup that
// <U, D, R2, L2, F2, B2> generate: no edge flipped, no corner twisted, the four middle edges in the middle layer.
// Phase 1 carries the state into H, phase 2 solves it inside H.  Phase 1 runs through solutions of growing length, for
// the total may be shorter although phase 1 is longer.
//
// Phase 1 takes place in G/H, which has 2187 * 2048 * 495 elements.  The table of their distances, modulo 3 and in two
// bits each, is kept for one of every 16 elements that the symmetries of H (rotations and mirrors that keep the
// up-down axis) make of one another: an element is brought to the form where its flips and middle places are those of
// a class's representative, and the row of the class holds the distances of the 2187 twists.  The same table, looked
// at along all three axes, is a lower bound for the optimal search (iterative deepening A*).
//
// What the turns do is learnt from the packed turns given, and what the symmetries do from how they exchange the turns.
// Only numbers are agreed upon: edges 0-3 are in the U layer, 4-7 in D, 8-11 in the middle; an edge or corner that is
// not turned shows its first sticker where the place has its own, and the turns of H keep it so.
#pragma once

#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "cube.hpp"

namespace nightfold {

inline constexpr int kTurns = 18;
inline constexpr int kInnerTurns = 10;  // those that generate H
inline constexpr int kSymmetries = 16;
inline constexpr int kAxes = 3;
inline constexpr int kMostTurns = 30;  // the longest solution there is room for

inline constexpr int kTwists = 2187;         // 3^7
inline constexpr int kFlips = 2048;          // 2^11
inline constexpr int kFours = 11880;         // 12 * 11 * 10 * 9: where four edges are, told apart
inline constexpr int kSlices = kFours / 24;  // and not told apart
inline constexpr int kCornerOrders = 40320;  // 8!
inline constexpr int kOuterOrders = 40320;   // 8!, of the edges of U and D
inline constexpr int kMiddleOrders = 24;     // 4!
inline constexpr int kFlipSlices = kFlips * kSlices;
inline constexpr int kFlipSliceHome = kFlips * (kSlices - 1);  // no flip, the middle edges in the last four places
inline constexpr int kMiddleHome = kFours - 24;
inline constexpr int kClasses = 64430;          // of those, up to symmetry (checked while building)
inline constexpr int kDistanceAt = 24;          // the bit where the distance of a class begins in class_move
inline constexpr std::uint32_t kClassMask = (1u << (kDistanceAt - 4)) - 1;
inline constexpr int kRow = (kTwists + 3) / 4;  // bytes of a row of distances
inline constexpr int kCornerClasses = 2768;     // of the corners' orders, up to symmetry (checked while building)
inline constexpr int kNear = 8;                 // phase 2 distances are told apart from here on, up to three more
inline constexpr int kMostPhaseOne = 12;        // greatest distance in G/H (checked while building)

using Stop = std::atomic<bool>;

// How the 18 turns relate to one another.
struct TurnTable {
  std::array<Cube, kTurns> turn;
  std::array<std::uint8_t, kTurns> inverse;
  // Bit m of follow[last]: turn m may stand behind `last` in a sequence without waste, where of two parallel faces the
  // one with the lower number comes first; same_face[last]: it turns the same face.  Behind no turn anything may stand.
  std::array<std::uint32_t, kTurns + 1> follow, same_face;
  std::uint32_t inner;  // the turns of H
  static constexpr std::uint32_t any = (1u << kTurns) - 1;
  std::array<std::uint8_t, kInnerTurns> inner_turn;

  // Throws std::invalid_argument when these are not the 18 turns of the faces, numbered as agreed.
  explicit TurnTable(const Cube* turns);

  int index_of(const Cube& cube) const;  // -1: no turn
};

// The symmetries as they exchange turns, and what two of them make.
struct SymmetryTable {
  std::array<std::array<std::uint8_t, kTurns>, kSymmetries> turn;
  std::array<std::array<std::uint8_t, kSymmetries>, kSymmetries> product;  // product[a][b]: b, then a
  std::array<std::uint8_t, kSymmetries> inverse;
  int identity;

  // `turns` holds 18 numbers for each symmetry.  Throws std::invalid_argument when they form no group.
  explicit SymmetryTable(const std::uint8_t* turns);
};

// The tables as they lie in a file, one behind the other.
struct TablesHead {
  std::uint64_t size;
  std::uint64_t phase_one[16];  // how many elements of G/H are at each distance
};

struct Tables {
  const TablesHead* head;
  const std::uint16_t (*twist_move)[kTurns];
  const std::uint16_t (*flip_move)[kTurns];
  const std::uint16_t (*four_move)[kTurns];
  const std::uint16_t (*corner_move)[kTurns];
  const std::uint16_t (*outer_move)[kInnerTurns];
  const std::uint8_t (*middle_move)[kInnerTurns];
  const std::uint32_t* class_of;               // of flips and slice: class * 16 + the symmetry that leads to it
  const std::uint32_t (*class_move)[kTurns];   // the same for a representative after a turn, and how far it is then
  const std::uint16_t (*twist_image)[kTwists]; // what each symmetry makes of a twist
  const std::uint16_t* corner_class;           // of the corners' order: class * 16 + the symmetry that leads to it
  const std::uint16_t (*outer_image)[kOuterOrders];
  const std::uint8_t* phase_one;               // rows of distances modulo 3
  const std::uint8_t (*corner_middle)[kMiddleOrders];
  const std::uint8_t (*outer_middle)[kMiddleOrders];
  const std::uint8_t* phase_two;               // rows of near distances, see kNear

  // Throws std::invalid_argument when `bytes` is not the size of the tables.
  static Tables at(const std::uint8_t* data, std::size_t bytes);
  static std::size_t bytes();
};

// Fills Tables::bytes() bytes with all tables.  False when stopped.  What is written does not depend on `threads`.
bool build_two_phase(const Cube* turns, const std::uint8_t* symmetries, int threads, std::uint8_t* data,
                     const Stop& stop);

// A quick 64-bit checksum of a buffer.
std::uint64_t checksum(const std::uint8_t* data, std::size_t bytes);

// The numbers of a cube: its twists, its flips, where the four edges from `first` on are, the order of its corners.
int twist_of(const Cube& cube);
int flip_of(const Cube& cube);
int four_of(const Cube& cube, int first);
int corners_of(const Cube& cube);

// True when every piece is there once and turned as it can be, centres at home; and when turns lead there.
bool is_sound(const Cube& cube);
bool is_reachable(const Cube& cube);

struct Solution {
  int length = -1;  // -1: none found
  std::array<std::uint8_t, kMostTurns> turn{};
};

class TwoPhase {
 public:
  // `axes`: three rotations of the whole cube, packed, that bring each of the three axes up.
  TwoPhase(const Cube* turns, const std::uint8_t* symmetries, const Cube* axes, const std::uint8_t* tables,
           std::size_t bytes);

  // A solution of at most `longest` turns.  When one is found, the search for shorter ones goes on until `effort`
  // nodes have been looked at.  The result depends on nothing else.
  Solution solve(const Cube& cube, int longest, std::uint64_t effort, const Stop& stop,
                 std::atomic<std::uint64_t>& nodes) const;

  // A shortest solution, if it has at most `longest` turns.  `depth` is the length that no solution can fall short of,
  // as far as is known.  The result does not depend on `threads`.
  Solution optimal(const Cube& cube, int longest, int threads, const Stop& stop, std::atomic<std::uint64_t>& nodes,
                   std::atomic<int>& depth) const;

  // How many turns phase 1 needs.
  int phase_one_distance(const Cube& cube) const;

  const Tables& tables() const { return tables_; }
  const TurnTable& turns() const { return turns_; }

 private:
  friend class PhaseSearch;
  friend class OptimalSearch;

  TurnTable turns_;
  SymmetryTable symmetries_;
  Tables tables_;
  std::array<Cube, kAxes> axis_, axis_back_;
  // The number a turn has when the cube is held with the axis up, and back again.
  std::array<std::array<std::uint8_t, kTurns>, kAxes> axis_turn_, turn_of_axis_;

  struct Element {  // of G/H, brought to a class
    std::uint32_t cls;
    std::uint16_t twist;  // as it was, not brought to the class
    std::uint8_t symmetry;
    std::uint8_t distance;
  };
  Element element_of(const Cube& cube) const;
  int residue(std::uint32_t cls, std::uint32_t symmetry, std::uint32_t twist) const {
    const std::uint32_t t = tables_.twist_image[symmetry][twist];
    return tables_.phase_one[cls * std::size_t{kRow} + (t >> 2)] >> (2 * (t & 3)) & 3;
  }
};

}  // namespace nightfold
