// The tables of twophase.hpp: what the turns and the symmetries do, and the distances.
#include <algorithm>
#include <numeric>
#include <stdexcept>
#include <thread>

#include "twophase.hpp"

namespace nightfold {

namespace {

template <class Work>
void in_parallel(int threads, Work work) {
  std::vector<std::thread> others;
  for (int k = 1; k < threads; ++k) others.emplace_back(work, k);
  work(0);
  for (std::thread& thread : others) thread.join();
}

// --- numbering ---------------------------------------------------------------------------------------------

template <std::size_t n>
int rank_order(const std::array<std::uint8_t, n>& order) {
  int rank = 0;
  for (std::size_t i = 0; i < n; ++i) {
    int less = 0;
    for (std::size_t j = i + 1; j < n; ++j) less += order[j] < order[i];
    rank = rank * static_cast<int>(n - i) + less;
  }
  return rank;
}

// All orders of n things, in the order of their ranks.
template <std::size_t n>
std::vector<std::array<std::uint8_t, n>> all_orders() {
  std::array<std::uint8_t, n> order;
  std::iota(order.begin(), order.end(), std::uint8_t{0});
  std::vector<std::array<std::uint8_t, n>> all;
  do all.push_back(order);
  while (std::next_permutation(order.begin(), order.end()));
  return all;
}

using Four = std::array<std::uint8_t, 4>;

constexpr int choose(int n, int k) {
  int ways = 1;
  for (int i = 0; i < k; ++i) ways = ways * (n - i) / (i + 1);
  return ways;
}

constexpr auto kChoose = [] {
  std::array<std::array<std::uint16_t, 5>, kEdges> table{};
  for (int n = 0; n < kEdges; ++n)
    for (int k = 0; k < 5; ++k) table[n][k] = static_cast<std::uint16_t>(choose(n, k));
  return table;
}();

// Places of four pieces: 24 times the rank of the set of places, plus the rank of the order the pieces are in there.
// Sets are ranked by their greatest place first, so those within the first eight places have the lowest ranks.
int rank_four(const Four& places) {
  int set = 0;
  Four order;
  for (int i = 0; i < 4; ++i) {
    order[i] = 0;
    for (int j = 0; j < 4; ++j) order[i] += places[j] < places[i];
    set += kChoose[places[i]][order[i] + 1];
  }
  return set * 24 + rank_order(order);
}

std::vector<Four> all_fours() {
  const std::vector<Four> orders = all_orders<4>();
  std::vector<Four> all;
  for (std::uint8_t d = 3; d < kEdges; ++d)
    for (std::uint8_t c = 2; c < d; ++c)
      for (std::uint8_t b = 1; b < c; ++b)
        for (std::uint8_t a = 0; a < b; ++a)
          for (const Four& order : orders) {
            const Four set{a, b, c, d};
            all.push_back({set[order[0]], set[order[1]], set[order[2]], set[order[3]]});
          }
  return all;
}

// --- what turns do to numbers --------------------------------------------------------------------------------

void fill_moves(const TurnTable& turns, std::uint16_t (*twist_move)[kTurns], std::uint16_t (*flip_move)[kTurns],
                std::uint16_t (*four_move)[kTurns], std::uint16_t (*corner_move)[kTurns],
                std::uint16_t (*outer_move)[kInnerTurns], std::uint8_t (*middle_move)[kInnerTurns]) {
  for (int twist = 0; twist < kTwists; ++twist) {
    Cube cube = identity();
    int rest = twist, sum = 0;
    for (int i = kCorners - 2; i >= 0; --i, rest /= 3) {
      cube.at[kCornerAt + i] |= rest % 3 << 4;
      sum += rest % 3;
    }
    cube.at[kCornerAt + kCorners - 1] |= (3 - sum % 3) % 3 << 4;
    for (int m = 0; m < kTurns; ++m)
      twist_move[twist][m] = static_cast<std::uint16_t>(twist_of(product_scalar(cube, turns.turn[m])));
  }
  for (int flip = 0; flip < kFlips; ++flip) {
    Cube cube = identity();
    for (int i = 0; i < kEdges - 1; ++i) cube.at[i] |= (flip >> i & 1) << 4;
    cube.at[kEdges - 1] |= (std::popcount(static_cast<unsigned>(flip)) & 1) << 4;
    for (int m = 0; m < kTurns; ++m)
      flip_move[flip][m] = static_cast<std::uint16_t>(flip_of(product_scalar(cube, turns.turn[m])));
  }

  std::uint8_t goes_to[kTurns][kEdges];
  for (int m = 0; m < kTurns; ++m)
    for (std::uint8_t i = 0; i < kEdges; ++i) goes_to[m][turns.turn[m].at[i] & 0x0f] = i;
  const std::vector<Four> fours = all_fours();
  for (int four = 0; four < kFours; ++four)
    for (int m = 0; m < kTurns; ++m) {
      Four places = fours[four];
      for (std::uint8_t& place : places) place = goes_to[m][place];
      four_move[four][m] = static_cast<std::uint16_t>(rank_four(places));
    }

  const auto orders = all_orders<8>();
  for (int corners = 0; corners < kCornerOrders; ++corners)
    for (int m = 0; m < kTurns; ++m) {
      std::array<std::uint8_t, 8> order;
      for (int i = 0; i < kCorners; ++i) order[i] = orders[corners][turns.turn[m].at[kCornerAt + i] & 0x0f];
      corner_move[corners][m] = static_cast<std::uint16_t>(rank_order(order));
    }

  for (int outer = 0; outer < kOuterOrders; ++outer) {
    // The four edges of D are at the places that those of U leave free.
    Four down, free;
    for (std::uint8_t place = 0, n = 0; place < 8; ++place)
      if (std::ranges::find(fours[outer / 24], place) == fours[outer / 24].end()) free[n++] = place;
    for (int i = 0; i < 4; ++i) down[i] = free[fours[outer % 24][i]];
    const int at = rank_four(down);
    for (int k = 0; k < kInnerTurns; ++k) {
      const int m = turns.inner_turn[k];
      outer_move[outer][k] = static_cast<std::uint16_t>(four_move[outer / 24][m] * 24 + four_move[at][m] % 24);
    }
  }
  for (int middle = 0; middle < kMiddleOrders; ++middle)
    for (int k = 0; k < kInnerTurns; ++k)
      middle_move[middle][k] = static_cast<std::uint8_t>(four_move[kMiddleHome + middle][turns.inner_turn[k]] % 24);
}

// --- symmetries ------------------------------------------------------------------------------------------------

// What a symmetry that exchanges turns as `turn` makes of every number, found along shortest ways from `home`, which
// all symmetries leave alone: the image of x after turn m is the image of x after the image of m.
template <class After>
std::vector<std::vector<std::uint32_t>> images(int count, int home,
                                               const std::vector<const std::array<std::uint8_t, kTurns>*>& symmetries,
                                               After after) {
  constexpr std::uint32_t kUnseen = ~0u;
  std::vector<std::vector<std::uint32_t>> image(symmetries.size(), std::vector<std::uint32_t>(count, kUnseen));
  std::vector<std::uint32_t> queue{static_cast<std::uint32_t>(home)};
  queue.reserve(count);
  for (auto& one : image) one[home] = home;
  for (std::size_t next = 0; next < queue.size(); ++next) {
    const std::uint32_t from = queue[next];
    for (int m = 0; m < kTurns; ++m) {
      const std::uint32_t to = after(from, m);
      if (image[0][to] != kUnseen) continue;
      for (std::size_t s = 0; s < symmetries.size(); ++s) image[s][to] = after(image[s][from], (*symmetries[s])[m]);
      queue.push_back(to);
    }
  }
  return image;
}

// Classes of flips and slice.  Returns for each class the symmetries that leave its representative alone, as bits.
std::vector<std::uint16_t> fill_classes(const SymmetryTable& symmetries, const std::uint16_t (*flip_move)[kTurns],
                                        const std::uint16_t (*four_move)[kTurns], std::uint32_t* class_of,
                                        std::uint32_t (*class_move)[kTurns]) {
  const auto after = [&](std::uint32_t x, int m) -> std::uint32_t {
    return four_move[x / kFlips * 24][m] / 24 * kFlips + flip_move[x % kFlips][m];
  };

  // A few symmetries that make all the others: how[s] is one of them and what it follows.
  std::vector<int> makers, reached{symmetries.identity};
  std::array<std::pair<int, int>, kSymmetries> how{};
  for (int s = 0; s < kSymmetries; ++s) {
    if (std::ranges::find(reached, s) != reached.end()) continue;
    makers.push_back(s);
    reached = {symmetries.identity};
    for (std::size_t i = 0; i < reached.size(); ++i)
      for (int maker = 0; maker < static_cast<int>(makers.size()); ++maker) {
        const int made = symmetries.product[makers[maker]][reached[i]];
        if (std::ranges::find(reached, made) != reached.end()) continue;
        how[made] = {maker, reached[i]};
        reached.push_back(made);
      }
  }
  std::vector<const std::array<std::uint8_t, kTurns>*> chosen;
  for (const int maker : makers) chosen.push_back(&symmetries.turn[maker]);
  const auto image = images(kFlipSlices, kFlipSliceHome, chosen, after);

  constexpr std::uint32_t kNone = ~0u;
  std::fill_n(class_of, kFlipSlices, kNone);
  std::vector<std::uint32_t> representatives;
  std::vector<std::uint16_t> fixed_by;
  for (std::uint32_t x = 0; x < kFlipSlices; ++x) {
    if (class_of[x] != kNone) continue;
    std::array<std::uint32_t, kSymmetries> images_of_x;
    std::uint16_t fixed = 0;
    for (const int s : reached) {
      const std::uint32_t y = s == symmetries.identity ? x : image[how[s].first][images_of_x[how[s].second]];
      images_of_x[s] = y;
      if (y == x) fixed |= static_cast<std::uint16_t>(1 << s);
      if (class_of[y] == kNone)
        class_of[y] = static_cast<std::uint32_t>(representatives.size()) << 4 | symmetries.inverse[s];
    }
    representatives.push_back(x);
    fixed_by.push_back(fixed);
  }
  if (representatives.size() != kClasses) throw std::invalid_argument("the symmetries do not make the expected classes");
  for (std::size_t c = 0; c < kClasses; ++c)
    for (int m = 0; m < kTurns; ++m) class_move[c][m] = class_of[after(representatives[c], m)];
  return fixed_by;
}

// --- distances in phase 1 --------------------------------------------------------------------------------------

constexpr int kUnknown = 3;
constexpr int kWords = (kRow + 7) / 8;

// The twists of a row whose two bits are `value`, in order; returns how many.
int twists_with(const std::uint8_t* row, int value, std::uint16_t* found) {
  std::uint64_t words[kWords];
  words[kWords - 1] = 0;
  std::memcpy(words, row, kRow);
  const std::uint64_t pattern = 0x5555555555555555ull * static_cast<unsigned>(value);
  int count = 0;
  for (int w = 0; w < kWords; ++w) {
    const std::uint64_t same = ~(words[w] ^ pattern);
    for (std::uint64_t hits = same & same >> 1 & 0x5555555555555555ull; hits; hits &= hits - 1)
      found[count++] = static_cast<std::uint16_t>(w * 32 + std::countr_zero(hits) / 2);
  }
  while (count && found[count - 1] >= kTwists) --count;  // what the last bytes hold beyond the row
  return count;
}

int value_at(const std::uint8_t* row, std::uint32_t twist) { return row[twist >> 2] >> (2 * (twist & 3)) & 3; }

// Only from kUnknown, whose bits are both set.
void set_value(std::uint8_t* row, std::uint32_t twist, int value) {
  row[twist >> 2] = static_cast<std::uint8_t>(row[twist >> 2] & ~((value ^ 3) << (2 * (twist & 3))));
}

using TwistAfter = std::uint16_t[kSymmetries][kTwists];

// Breadth-first.  While few elements lie at the distance reached, these are turned and what they become is marked;
// when few are left unknown, these are turned and looked at.  Either way a row meets one other row at a time, so all
// goes on in the nearest memory.  Every level reads one copy of the table and writes another, each thread its own rows.
bool fill_phase_one(const SymmetryTable& symmetries, const Tables& t,
                    const std::vector<std::uint16_t>& fixed_by, std::uint8_t* rows, std::uint64_t* counts, int threads,
                    const Stop& stop) {
  std::vector<std::uint16_t> space(std::size_t{kTurns} * kSymmetries * kTwists);
  auto* const twist_after = reinterpret_cast<TwistAfter*>(space.data());
  for (int m = 0; m < kTurns; ++m)
    for (int s = 0; s < kSymmetries; ++s)
      for (int twist = 0; twist < kTwists; ++twist)
        twist_after[m][s][twist] = t.twist_image[s][t.twist_move[twist][m]];

  constexpr std::size_t kAll = std::size_t{kClasses} * kRow;
  std::vector<std::uint8_t> other(kAll);
  std::fill_n(rows, kAll, std::uint8_t{0xff});
  std::uint8_t *now = rows, *next = other.data();
  set_value(now + (t.class_of[kFlipSliceHome] >> 4) * std::size_t{kRow}, 0, 0);

  std::uint64_t unknown = std::uint64_t{kClasses} * kTwists - 1, frontier = 1;
  counts[0] = 1;
  std::vector<std::uint64_t> marked(threads), weighed(threads);
  for (int depth = 0; unknown && frontier; ++depth) {
    const int here = depth % 3, there = (depth + 1) % 3;
    const bool forward = frontier * 8 < unknown;
    in_parallel(threads, [&](int thread) {
      const std::uint32_t first = kClasses * std::uint64_t(thread) / threads;
      const std::uint32_t last = kClasses * std::uint64_t(thread + 1) / threads;
      std::memcpy(next + first * std::size_t{kRow}, now + first * std::size_t{kRow}, (last - first) * std::size_t{kRow});
      std::uint16_t twists[kTwists + 32], news[kTwists + 32];
      std::uint64_t marks = 0, weight = 0;
      if (forward) {
        for (std::uint32_t c = 0; c < kClasses; ++c) {
          if (c % 1024 == 0 && stop) return;
          const int count = twists_with(now + c * std::size_t{kRow}, here, twists);
          if (!count) continue;
          for (int m = 0; m < kTurns; ++m) {
            const std::uint32_t target = t.class_move[c][m] >> 4;
            if (target < first || target >= last) continue;
            const std::uint16_t* const after = twist_after[m][t.class_move[c][m] & 15];
            std::uint8_t* const row = next + target * std::size_t{kRow};
            const auto fixed = static_cast<std::uint16_t>(fixed_by[target] & ~(1 << symmetries.identity));
            const std::uint64_t orbit = kSymmetries / static_cast<unsigned>(std::popcount(fixed_by[target]));
            int found = 0;
            for (int i = 0; i < count; ++i) {
              news[found] = after[twists[i]];
              found += value_at(row, news[found]) == kUnknown;
            }
            int fresh = found;
            for (int i = 0; i < found; ++i) set_value(row, news[i], there);
            // The same elements in other guises.
            for (unsigned left = fixed; left; left &= left - 1)
              for (int i = 0; i < found; ++i) {
                const std::uint32_t guise = t.twist_image[std::countr_zero(left)][news[i]];
                if (value_at(row, guise) != kUnknown) continue;
                set_value(row, guise, there);
                ++fresh;
              }
            marks += static_cast<unsigned>(fresh);
            weight += static_cast<std::uint64_t>(fresh) * orbit;
          }
        }
      } else {
        for (std::uint32_t c = first; c < last; ++c) {
          if (c % 1024 == 0 && stop) return;
          const int all = twists_with(now + c * std::size_t{kRow}, kUnknown, twists);
          int count = all;
          std::uint8_t* const row = next + c * std::size_t{kRow};
          for (int m = 0; m < kTurns && count; ++m) {
            // Neighbours of an unknown element are at this distance or further away.
            const std::uint8_t* const met = now + (t.class_move[c][m] >> 4) * std::size_t{kRow};
            const std::uint16_t* const after = twist_after[m][t.class_move[c][m] & 15];
            int left = 0;
            int found = 0;
            for (int i = 0; i < count; ++i) {  // without a branch, which could not be foreseen
              const std::uint16_t twist = twists[i];
              const bool met_here = value_at(met, after[twist]) == here;
              news[found] = twists[left] = twist;
              found += met_here;
              left += !met_here;
            }
            for (int i = 0; i < found; ++i) set_value(row, news[i], there);
            count = left;
          }
          marks += static_cast<unsigned>(all - count);
          weight += std::uint64_t(all - count) * (kSymmetries / std::popcount(fixed_by[c]));
        }
      }
      marked[thread] = marks;
      weighed[thread] = weight;
    });
    if (stop) return false;
    std::swap(now, next);
    frontier = std::accumulate(marked.begin(), marked.end(), std::uint64_t{0});
    unknown -= frontier;
    if (frontier && depth >= kMostPhaseOne) throw std::logic_error("phase 1 needs more turns than it can");
    if (frontier) counts[depth + 1] = std::accumulate(weighed.begin(), weighed.end(), std::uint64_t{0});
  }
  if (unknown) throw std::logic_error("phase 1 does not reach every element");
  if (now != rows) std::memcpy(rows, now, kAll);
  return true;
}

// --- distances in phase 2 --------------------------------------------------------------------------------------

// Of the orders of eight pieces together with the order of the middle edges; `after(order, k)` is what turn k makes of
// the former.
template <class After>
void fill_phase_two(std::uint8_t (*distance)[kMiddleOrders], const Tables& t, After after) {
  constexpr std::uint8_t kUnseen = 0xff;
  std::uint8_t* const flat = distance[0];
  std::fill_n(flat, kCornerOrders * kMiddleOrders, kUnseen);
  std::vector<std::uint32_t> queue{0};
  queue.reserve(std::size_t{kCornerOrders} * kMiddleOrders);
  flat[0] = 0;
  for (std::size_t next = 0; next < queue.size(); ++next) {
    const std::uint32_t from = queue[next];
    for (int k = 0; k < kInnerTurns; ++k) {
      const std::uint32_t to =
          after(from / kMiddleOrders, k) * std::uint32_t{kMiddleOrders} + t.middle_move[from % kMiddleOrders][k];
      if (flat[to] != kUnseen) continue;
      flat[to] = static_cast<std::uint8_t>(flat[from] + 1);
      queue.push_back(to);
    }
  }
}

// --- one behind the other --------------------------------------------------------------------------------------

// Gives every table its place in `data`; returns how many bytes they take.
std::size_t lay_out(const std::uint8_t* data, Tables& t) {
  std::size_t at = 0;
  const auto place = [&]<class T>(const T*& table, std::size_t rows) {
    table = reinterpret_cast<const T*>(data + at);
    at += (rows * sizeof(T) + 63) / 64 * 64;
  };
  place(t.head, 1);
  place(t.twist_move, kTwists);
  place(t.flip_move, kFlips);
  place(t.four_move, kFours);
  place(t.corner_move, kCornerOrders);
  place(t.outer_move, kOuterOrders);
  place(t.middle_move, kMiddleOrders);
  place(t.class_of, kFlipSlices);
  place(t.class_move, kClasses);
  place(t.twist_image, kSymmetries);
  place(t.phase_one, std::size_t{kClasses} * kRow);
  place(t.corner_middle, kCornerOrders);
  place(t.outer_middle, kOuterOrders);
  return at;
}

}  // namespace

int twist_of(const Cube& cube) {
  int twist = 0;
  for (int i = 0; i < kCorners - 1; ++i) twist = twist * 3 + (cube.at[kCornerAt + i] >> 4);
  return twist;
}

int flip_of(const Cube& cube) {
  int flip = 0;
  for (int i = 0; i < kEdges - 1; ++i) flip |= (cube.at[i] >> 4) << i;
  return flip;
}

int four_of(const Cube& cube, int first) {
  Four places{};
  for (std::uint8_t i = 0; i < kEdges; ++i)
    if (const int piece = (cube.at[i] & 0x0f) - first; piece >= 0 && piece < 4) places[piece] = i;
  return rank_four(places);
}

int corners_of(const Cube& cube) {
  std::array<std::uint8_t, 8> order;
  for (int i = 0; i < kCorners; ++i) order[i] = cube.at[kCornerAt + i] & 0x0f;
  return rank_order(order);
}

TurnTable::TurnTable(const Cube* turns) {
  std::copy_n(turns, kTurns, turn.begin());
  const Cube solved = identity();
  bool in_order = true;
  std::uint32_t faces[kTurns];
  inner = 0;
  for (int a = 0; a < kTurns; ++a) {
    in_order &= is_sound(turn[a]);
    if (!in_order) break;
    inverse[a] = kTurns;
    faces[a] = 0;
    for (int b = 0; b < kTurns; ++b) {
      const Cube both = product_scalar(turn[a], turn[b]);
      if (both == solved) inverse[a] = static_cast<std::uint8_t>(b);
      if (both == solved || index_of(both) >= 0) faces[a] |= 1u << b;
    }
    in_order &= inverse[a] < kTurns && std::popcount(faces[a]) == 3;
    if (twist_of(turn[a]) == 0 && flip_of(turn[a]) == 0 && four_of(turn[a], 8) / 24 == kSlices - 1) inner |= 1u << a;
  }
  if (!in_order || std::popcount(inner) != kInnerTurns)
    throw std::invalid_argument("these are not the 18 turns of the faces, with U and D keeping edges and corners unturned");
  constexpr std::uint32_t kAny = (1u << kTurns) - 1;
  follow[kTurns] = kAny;
  same_face[kTurns] = 0;
  for (int a = 0; a < kTurns; ++a) {
    same_face[a] = faces[a];
    follow[a] = kAny & ~faces[a];
    for (int b = 0; b < kTurns; ++b)
      if (product_scalar(turn[a], turn[b]) == product_scalar(turn[b], turn[a]) &&
          std::countr_zero(faces[b]) < std::countr_zero(faces[a]))
        follow[a] &= ~(1u << b);
  }
  for (int k = 0, m = 0; m < kTurns; ++m)
    if (inner >> m & 1) inner_turn[k++] = static_cast<std::uint8_t>(m);
}

int TurnTable::index_of(const Cube& cube) const {
  for (int m = 0; m < kTurns; ++m)
    if (turn[m] == cube) return m;
  return -1;
}

SymmetryTable::SymmetryTable(const std::uint8_t* turns) {
  for (int s = 0; s < kSymmetries; ++s) std::copy_n(turns + s * kTurns, kTurns, turn[s].begin());
  for (const auto& one : turn)
    for (const std::uint8_t m : one)
      if (m >= kTurns) throw std::invalid_argument("a symmetry names a turn that does not exist");
  identity = -1;
  for (int a = 0; a < kSymmetries; ++a) {
    inverse[a] = kSymmetries;
    for (int b = 0; b < kSymmetries; ++b) {
      std::array<std::uint8_t, kTurns> both;
      for (int m = 0; m < kTurns; ++m) both[m] = turn[a][turn[b][m]];
      const auto found = std::ranges::find(turn, both);
      if (found == turn.end()) throw std::invalid_argument("the symmetries form no group");
      product[a][b] = static_cast<std::uint8_t>(found - turn.begin());
    }
    if (product[a][a] == a) identity = a;
  }
  for (int a = 0; a < kSymmetries; ++a)
    for (int b = 0; b < kSymmetries; ++b)
      if (product[a][b] == identity) inverse[a] = static_cast<std::uint8_t>(b);
}

Tables Tables::at(const std::uint8_t* data, std::size_t bytes) {
  Tables t;
  if (lay_out(data, t) != bytes || t.head->size != bytes)
    throw std::invalid_argument("these are not the tables of the two-phase solver");
  return t;
}

std::size_t Tables::bytes() {
  Tables t;
  return lay_out(nullptr, t);
}

std::vector<std::uint8_t> build_two_phase(const Cube* turns, const std::uint8_t* symmetries, int threads,
                                          const Stop& stop) {
  const TurnTable turn_table(turns);
  const SymmetryTable symmetry_table(symmetries);
  std::vector<std::uint8_t> data(Tables::bytes());
  Tables t;
  lay_out(data.data(), t);
  // The tables are seen as constant by all but this function.
  const auto open = []<class T>(const T* table) { return const_cast<T*>(table); };
  open(t.head)->size = data.size();
  fill_moves(turn_table, open(t.twist_move), open(t.flip_move), open(t.four_move), open(t.corner_move),
             open(t.outer_move), open(t.middle_move));
  if (stop) return {};
  const std::vector<std::uint16_t> fixed_by =
      fill_classes(symmetry_table, t.flip_move, t.four_move, open(t.class_of), open(t.class_move));
  std::vector<const std::array<std::uint8_t, kTurns>*> all;
  for (const auto& one : symmetry_table.turn) all.push_back(&one);
  const auto twist_images = images(kTwists, 0, all, [&](std::uint32_t twist, int m) { return t.twist_move[twist][m]; });
  for (int s = 0; s < kSymmetries; ++s)
    for (int twist = 0; twist < kTwists; ++twist)
      open(t.twist_image)[s][twist] = static_cast<std::uint16_t>(twist_images[s][twist]);
  if (stop || !fill_phase_one(symmetry_table, t, fixed_by, open(t.phase_one), open(t.head)->phase_one,
                              std::clamp(threads, 1, 8), stop))
    return {};
  in_parallel(threads > 1 ? 2 : 1, [&](int thread) {
    if (thread == 0)
      fill_phase_two(open(t.corner_middle), t,
                     [&](std::uint32_t order, int k) { return t.corner_move[order][turn_table.inner_turn[k]]; });
    if (thread == 1 || threads < 2)
      fill_phase_two(open(t.outer_middle), t, [&](std::uint32_t order, int k) { return t.outer_move[order][k]; });
  });
  return data;
}

std::uint64_t checksum(const std::uint8_t* data, std::size_t bytes) {
  // Four lanes of multiply and add, so that it runs as fast as memory can be read; every byte of the sum depends on
  // every byte of the data.
  constexpr std::uint64_t kOdd = 0x9e3779b97f4a7c15ull;
  std::uint64_t lane[4] = {1, 2, 3, 4};
  std::size_t i = 0;
  for (; i + 32 <= bytes; i += 32) {
    std::uint64_t word[4];
    std::memcpy(word, data + i, 32);
    for (int k = 0; k < 4; ++k) {
      lane[k] = (lane[k] ^ word[k]) * kOdd;
      lane[k] ^= lane[k] >> 29;
    }
  }
  std::uint64_t sum = bytes;
  for (; i < bytes; ++i) sum = (sum ^ data[i]) * kOdd;
  for (const std::uint64_t one : lane) {
    sum = (sum ^ one) * kOdd;
    sum ^= sum >> 32;
  }
  return sum;
}

bool is_sound(const Cube& cube) {
  unsigned seen[2] = {0, 0};
  for (std::size_t i = 0; i < kBytes; ++i) {
    const bool edge = i < kEdges, corner = i >= kCornerAt && i < kCornerAt + kCorners;
    const int ways = edge ? 2 : corner ? 3 : 1;
    const int most = edge ? kEdges : corner ? kCorners : 16;
    if (cube.at[i] >> 4 >= ways || (cube.at[i] & 0x0f) >= most) return false;
    if (!edge && !corner && cube.at[i] != i % 16) return false;
    seen[i / 16] |= 1u << (cube.at[i] & 0x0f);
  }
  return seen[0] == 0xffff && seen[1] == 0xffff;
}

bool is_reachable(const Cube& cube) {
  if (!is_sound(cube)) return false;
  int flips = 0, twists = 0, exchanges = 0;
  for (int i = 0; i < kEdges; ++i) {
    flips += cube.at[i] >> 4;
    for (int j = 0; j < i; ++j) exchanges += (cube.at[j] & 0x0f) > (cube.at[i] & 0x0f);
  }
  for (int i = kCornerAt; i < kCornerAt + kCorners; ++i) {
    twists += cube.at[i] >> 4;
    for (int j = kCornerAt; j < i; ++j) exchanges += (cube.at[j] & 0x0f) > (cube.at[i] & 0x0f);
  }
  return flips % 2 == 0 && twists % 3 == 0 && exchanges % 2 == 0;
}

}  // namespace nightfold
