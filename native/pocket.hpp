// The 2x2x2, all of it: the distance of every state from solved.
//
// One corner is held, so that 7! * 3^6 = 3,674,160 states are left and the nine turns of the three faces that do not
// touch it.  Which corner that is shows from the turns.  Cubes are those of cube.hpp, of which only corners matter.
#pragma once

#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>

#include "cube.hpp"

namespace nightfold {

inline constexpr int kPocketTurns = 9;
inline constexpr int kPocketOrders = 5040;  // 7!
inline constexpr int kPocketTwists = 729;   // 3^6
inline constexpr int kPocketStates = kPocketOrders * kPocketTwists;
inline constexpr int kPocketMost = 11;  // the greatest distance (checked while building)

struct PocketTables {
  std::uint64_t states_at[16];  // how many states there are at each distance
  std::uint16_t order_move[kPocketOrders][kPocketTurns];
  std::uint16_t twist_move[kPocketTwists][kPocketTurns];
  std::uint8_t distance[kPocketStates];
};

// Fills the tables.  False when stopped.  Throws std::invalid_argument when the turns do not leave just one corner
// alone or do not lead to every state.
bool build_pocket(const Cube* turns, PocketTables& tables, const std::atomic<bool>& stop);

class Pocket {
 public:
  // Throws std::invalid_argument when `bytes` is not the size of the tables.
  Pocket(const Cube* turns, const std::uint8_t* tables, std::size_t bytes);

  int held() const { return held_; }

  // True when the corners are each there once, twisted by a multiple of three in all, and the held one is at home.
  bool is_reachable(const Cube& cube) const;

  int distance(const Cube& cube) const { return tables_->distance[state_of(cube)]; }

  // Writes a shortest solution to `turns`, which has room for kPocketMost, and returns its length.  Of several the one
  // is taken whose turns have the lowest numbers.
  int solve(const Cube& cube, std::uint8_t* turns) const;

  const PocketTables& tables() const { return *tables_; }

 private:
  int held_;
  const PocketTables* tables_;

  int state_of(const Cube& cube) const;
};

}  // namespace nightfold
