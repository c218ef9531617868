#include "pocket.hpp"

#include <algorithm>
#include <numeric>
#include <stdexcept>
#include <vector>

namespace nightfold {

namespace {

constexpr int kMoving = kCorners - 1;
using Order = std::array<std::uint8_t, kMoving>;

// The corner that no turn moves.  Throws when there is not just one.
int held_corner(const Cube* turns) {
  int held = -1;
  for (int corner = 0; corner < kCorners; ++corner) {
    const auto leaves_it = [&](const Cube& turn) { return turn.at[kCornerAt + corner] == corner; };
    if (std::all_of(turns, turns + kPocketTurns, leaves_it)) held = held < 0 ? corner : kCorners;
  }
  if (held < 0 || held == kCorners) throw std::invalid_argument("the turns must leave just one corner alone");
  return held;
}

// The corners but the held one, numbered from 0.
int corner_at(int held, int number) { return number + (number >= held); }
int number_of(int held, int corner) { return corner - (corner > held); }

int rank_order(const Order& order) {
  int rank = 0;
  for (int i = 0; i < kMoving; ++i) {
    int less = 0;
    for (int j = i + 1; j < kMoving; ++j) less += order[j] < order[i];
    rank = rank * (kMoving - i) + less;
  }
  return rank;
}

int order_of(const Cube& cube, int held) {
  Order order;
  for (int i = 0; i < kMoving; ++i)
    order[i] = static_cast<std::uint8_t>(number_of(held, cube.at[kCornerAt + corner_at(held, i)] & 0x0f));
  return rank_order(order);
}

int twist_of(const Cube& cube, int held) {
  int twist = 0;
  for (int i = 0; i < kMoving - 1; ++i) twist = twist * 3 + (cube.at[kCornerAt + corner_at(held, i)] >> 4);
  return twist;
}

}  // namespace

bool build_pocket(const Cube* turns, PocketTables& t, const std::atomic<bool>& stop) {
  const int held = held_corner(turns);
  t = {};

  Order order;
  std::iota(order.begin(), order.end(), std::uint8_t{0});
  int rank = 0;
  do {
    Cube cube = identity();
    for (int i = 0; i < kMoving; ++i)
      cube.at[kCornerAt + corner_at(held, i)] = static_cast<std::uint8_t>(corner_at(held, order[i]));
    for (int m = 0; m < kPocketTurns; ++m)
      t.order_move[rank][m] = static_cast<std::uint16_t>(order_of(product_scalar(cube, turns[m]), held));
    ++rank;
  } while (std::next_permutation(order.begin(), order.end()));
  for (int twist = 0; twist < kPocketTwists; ++twist) {
    Cube cube = identity();
    int rest = twist, sum = 0;
    for (int i = kMoving - 2; i >= 0; --i, rest /= 3) {
      cube.at[kCornerAt + corner_at(held, i)] |= rest % 3 << 4;
      sum += rest % 3;
    }
    cube.at[kCornerAt + corner_at(held, kMoving - 1)] |= (3 - sum % 3) % 3 << 4;
    for (int m = 0; m < kPocketTurns; ++m)
      t.twist_move[twist][m] = static_cast<std::uint16_t>(twist_of(product_scalar(cube, turns[m]), held));
  }

  constexpr std::uint8_t kUnseen = 0xff;
  std::fill_n(t.distance, kPocketStates, kUnseen);
  std::vector<std::uint32_t> queue{0};
  queue.reserve(kPocketStates);
  t.distance[0] = 0;
  for (std::size_t next = 0; next < queue.size(); ++next) {
    if (next % 65536 == 0 && stop) return false;
    const std::uint32_t from = queue[next];
    ++t.states_at[t.distance[from]];
    for (int m = 0; m < kPocketTurns; ++m) {
      const std::uint32_t to = t.order_move[from / kPocketTwists][m] * std::uint32_t{kPocketTwists} +
                               t.twist_move[from % kPocketTwists][m];
      if (t.distance[to] != kUnseen) continue;
      t.distance[to] = static_cast<std::uint8_t>(t.distance[from] + 1);
      queue.push_back(to);
    }
  }
  if (queue.size() != kPocketStates || t.distance[queue.back()] != kPocketMost)
    throw std::invalid_argument("the turns do not lead to every state of the 2x2x2");
  return true;
}

Pocket::Pocket(const Cube* turns, const std::uint8_t* tables, std::size_t bytes)
    : held_(held_corner(turns)), tables_(reinterpret_cast<const PocketTables*>(tables)) {
  if (bytes != sizeof(PocketTables) || reinterpret_cast<std::uintptr_t>(tables) % alignof(PocketTables))
    throw std::invalid_argument("these are not the tables of the 2x2x2");
}

bool Pocket::is_reachable(const Cube& cube) const {
  unsigned seen = 0;
  int twists = 0;
  for (int corner = 0; corner < kCorners; ++corner) {
    const std::uint8_t at = cube.at[kCornerAt + corner];
    if (at >> 4 > 2 || (at & 0x0f) >= kCorners) return false;
    seen |= 1u << (at & 0x0f);
    twists += at >> 4;
  }
  return seen == 0xff && twists % 3 == 0 && cube.at[kCornerAt + held_] == held_;
}

int Pocket::state_of(const Cube& cube) const { return order_of(cube, held_) * kPocketTwists + twist_of(cube, held_); }

int Pocket::solve(const Cube& cube, std::uint8_t* turns) const {
  int state = state_of(cube);
  const int length = tables_->distance[state];
  for (int made = 0; made < length; ++made)
    for (int m = 0; m < kPocketTurns; ++m) {
      const int next = tables_->order_move[state / kPocketTwists][m] * kPocketTwists +
                       tables_->twist_move[state % kPocketTwists][m];
      if (tables_->distance[next] != length - made - 1) continue;
      turns[made] = static_cast<std::uint8_t>(m);
      state = next;
      break;
    }
  return length;
}

}  // namespace nightfold
