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

// What symmetries, given by how they exchange the turns, make of every number that `turns` lead to from `home`, which
// all symmetries leave alone: the image of x after turn m is the image of x after the image of m.
template <class After>
std::vector<std::vector<std::uint32_t>> images(int count, int home,
                                               const std::vector<const std::array<std::uint8_t, kTurns>*>& symmetries,
                                               std::uint32_t turns, After after) {
  constexpr std::uint32_t kUnseen = ~0u;
  std::vector<std::vector<std::uint32_t>> image(symmetries.size(), std::vector<std::uint32_t>(count, kUnseen));
  std::vector<std::uint32_t> queue{static_cast<std::uint32_t>(home)};
  queue.reserve(count);
  for (auto& one : image) one[home] = home;
  for (std::size_t next = 0; next < queue.size(); ++next) {
    const std::uint32_t from = queue[next];
    for (std::uint32_t rest = turns; rest; rest &= rest - 1) {
      const int m = std::countr_zero(rest);
      const std::uint32_t to = after(from, m);
      if (image[0][to] != kUnseen) continue;
      for (std::size_t s = 0; s < symmetries.size(); ++s) image[s][to] = after(image[s][from], (*symmetries[s])[m]);
      queue.push_back(to);
    }
  }
  return image;
}

// What a few symmetries that make all the others do, and how those are made: how[s] is one of the few and the symmetry
// it follows.
struct Makers {
  std::vector<const std::array<std::uint8_t, kTurns>*> turn;
  std::vector<int> order{};  // the identity first, then all the others, each behind the one it follows
  std::array<std::pair<int, int>, kSymmetries> how{};

  explicit Makers(const SymmetryTable& symmetries) {
    std::vector<int> makers;
    order = {symmetries.identity};
    for (int s = 0; s < kSymmetries; ++s) {
      if (std::ranges::find(order, s) != order.end()) continue;
      makers.push_back(s);
      turn.push_back(&symmetries.turn[s]);
      order = {symmetries.identity};
      for (std::size_t i = 0; i < order.size(); ++i)
        for (std::size_t maker = 0; maker < makers.size(); ++maker) {
          const int made = symmetries.product[makers[maker]][order[i]];
          if (std::ranges::find(order, made) != order.end()) continue;
          how[made] = {static_cast<int>(maker), order[i]};
          order.push_back(made);
        }
    }
  }
};

struct Classes {
  std::vector<std::uint32_t> representative;
  std::vector<std::uint16_t> fixed_by;  // the symmetries that leave the representative alone, as bits
};

// The classes of the numbers 0 to `count` - 1, given what the makers do to each; `class_of` is filled with the class
// times 16 plus the symmetry that leads to its representative, which is its least number.
template <class Number>
Classes fill_classes(int count, const SymmetryTable& symmetries, const Makers& makers,
                     const std::vector<std::vector<std::uint32_t>>& image, Number* class_of) {
  constexpr Number kNone = static_cast<Number>(~Number{0});
  std::fill_n(class_of, count, kNone);
  Classes classes;
  for (int x = 0; x < count; ++x) {
    if (class_of[x] != kNone) continue;
    std::array<std::uint32_t, kSymmetries> image_of_x;
    std::uint16_t fixed = 0;
    for (const int s : makers.order) {
      const std::uint32_t y =
          s == symmetries.identity ? x : image[makers.how[s].first][image_of_x[makers.how[s].second]];
      image_of_x[s] = y;
      if (y == static_cast<std::uint32_t>(x)) fixed |= static_cast<std::uint16_t>(1 << s);
      if (class_of[y] == kNone)
        class_of[y] = static_cast<Number>(classes.representative.size() << 4 | symmetries.inverse[s]);
    }
    classes.representative.push_back(x);
    classes.fixed_by.push_back(fixed);
  }
  return classes;
}

// Adds to what a class becomes how far that is from home.
void add_distances(std::uint32_t (*class_move)[kTurns], std::uint32_t home) {
  std::vector<std::uint8_t> distance(kClasses, 0xff);
  std::vector<std::uint32_t> queue{home};
  distance[home] = 0;
  for (std::size_t next = 0; next < queue.size(); ++next)
    for (int m = 0; m < kTurns; ++m) {
      const std::uint32_t to = class_move[queue[next]][m] >> 4;
      if (distance[to] != 0xff) continue;
      distance[to] = static_cast<std::uint8_t>(distance[queue[next]] + 1);
      queue.push_back(to);
    }
  for (int c = 0; c < kClasses; ++c)
    for (int m = 0; m < kTurns; ++m)
      class_move[c][m] |= static_cast<std::uint32_t>(distance[class_move[c][m] >> 4]) << kDistanceAt;
}

// --- rows of distances -------------------------------------------------------------------------------------------

// Both large tables have a row for every class and two bits for every number a row goes through; both bits set: not
// known yet.  A turn carries a whole row to one other row, so all the work goes on in the nearest memory.
constexpr int kUnknown = 3;

template <int length>
struct Row {
  static constexpr std::size_t kBytesOfRow = (length + 3) / 4;
  static constexpr int kWords = (kBytesOfRow + 7) / 8;
  using List = std::array<std::uint16_t, kWords * 32>;

  // The numbers whose two bits are `value`, in order; returns how many.
  static int with(const std::uint8_t* row, int value, List& found) {
    const std::uint64_t pattern = 0x5555555555555555ull * static_cast<unsigned>(value);
    int count = 0;
    for (int w = 0; w < kWords; ++w) {
      std::uint64_t word = 0;
      std::memcpy(&word, row + w * 8, std::min<std::size_t>(8, kBytesOfRow - w * 8));
      const std::uint64_t same = ~(word ^ pattern);
      for (std::uint64_t hits = same & same >> 1 & 0x5555555555555555ull; hits; hits &= hits - 1)
        found[count++] = static_cast<std::uint16_t>(w * 32 + std::countr_zero(hits) / 2);
    }
    while (count && found[count - 1] >= length) --count;  // what the last bytes hold beyond the row
    return count;
  }

  static int value_at(const std::uint8_t* row, std::uint32_t number) {
    return row[number >> 2] >> (2 * (number & 3)) & 3;
  }

  // Only where the value is kUnknown.
  static void set_value(std::uint8_t* row, std::uint32_t number, int value) {
    row[number >> 2] = static_cast<std::uint8_t>(row[number >> 2] & ~((value ^ kUnknown) << (2 * (number & 3))));
  }
};

// The turns and symmetries of one table, and which of its rows a thread writes.
template <int length, int turn_count, class ClassMove, class After, class Image>
struct Spreading {
  const ClassMove* class_move;  // [class][turn]
  After after;                  // after(turn, symmetry): what becomes of each number under the turn and the symmetry
  Image image;                  // image(symmetry, number)
  const Classes* classes;
  int identity;
  std::uint32_t mask;  // of the class in a class_move, once shifted down

  struct Marked {
    std::uint64_t entries = 0, elements = 0;
  };

  std::uint64_t orbit(std::uint32_t c) const {
    return kSymmetries / static_cast<unsigned>(std::popcount(classes->fixed_by[c]));
  }

  // Turns all elements that have the value `here` in `now`, and gives the unknown ones they become the value `there`
  // in `next`, in the rows `first` to `last` - 1.
  Marked forward(const std::uint8_t* now, int here, std::uint8_t* next, int there, std::uint32_t first,
                 std::uint32_t last, const Stop& stop) const {
    using R = Row<length>;
    typename R::List numbers, news;
    Marked marked;
    const auto rows = static_cast<std::uint32_t>(classes->representative.size());
    for (std::uint32_t c = 0; c < rows; ++c) {
      if (c % 256 == 0 && stop) break;
      const int count = R::with(now + c * R::kBytesOfRow, here, numbers);
      if (!count) continue;
      for (int m = 0; m < turn_count; ++m) {
        const std::uint32_t target = class_move[c][m] >> 4 & mask;
        if (target < first || target >= last) continue;
        const auto become = after(m, class_move[c][m] & 15);
        std::uint8_t* const row = next + target * R::kBytesOfRow;
        int found = 0;
        for (int i = 0; i < count; ++i) {  // without a branch, which could not be foreseen
          news[found] = become(numbers[i]);
          found += R::value_at(row, news[found]) == kUnknown;
        }
        for (int i = 0; i < found; ++i) R::set_value(row, news[i], there);
        int fresh = found;
        // Where symmetries leave the class's representative alone, the same elements in other guises.
        for (unsigned left = classes->fixed_by[target] & ~(1u << identity); left; left &= left - 1)
          for (int i = 0; i < found; ++i) {
            const std::uint32_t guise = image(std::countr_zero(left), news[i]);
            if (R::value_at(row, guise) != kUnknown) continue;
            R::set_value(row, guise, there);
            ++fresh;
          }
        marked.entries += static_cast<unsigned>(fresh);
        marked.elements += static_cast<unsigned>(fresh) * orbit(target);
      }
    }
    return marked;
  }

  // Turns all unknown elements of the rows `first` to `last` - 1 of `now`; those that become one with the value `here`
  // get the value `there` in `next`.  All elements with that value but the furthest must be out of reach.
  Marked backward(const std::uint8_t* now, int here, std::uint8_t* next, int there, std::uint32_t first,
                  std::uint32_t last, const Stop& stop) const {
    using R = Row<length>;
    typename R::List numbers, news;
    Marked marked;
    for (std::uint32_t c = first; c < last; ++c) {
      if (c % 256 == 0 && stop) break;
      const int all = R::with(now + c * R::kBytesOfRow, kUnknown, numbers);
      int count = all;
      std::uint8_t* const row = next + c * R::kBytesOfRow;
      for (int m = 0; m < turn_count && count; ++m) {
        const std::uint8_t* const met = now + (class_move[c][m] >> 4 & mask) * R::kBytesOfRow;
        const auto become = after(m, class_move[c][m] & 15);
        int left = 0, found = 0;
        for (int i = 0; i < count; ++i) {
          const std::uint16_t number = numbers[i];
          const bool met_here = R::value_at(met, become(number)) == here;
          news[found] = numbers[left] = number;
          found += met_here;
          left += !met_here;
        }
        for (int i = 0; i < found; ++i) R::set_value(row, news[i], there);
        count = left;
      }
      marked.entries += static_cast<unsigned>(all - count);
      marked.elements += static_cast<unsigned>(all - count) * orbit(c);
    }
    return marked;
  }
};

// Distances in G/H modulo 3, breadth-first.  While few elements are at the distance reached, these are turned; when few
// are left unknown, those are: neighbours of an unknown element are at the distance reached or further away.  Every
// level reads one copy of the table and writes another, each thread its own rows.
bool fill_phase_one(const SymmetryTable& symmetries, const Tables& t, const Classes& classes, std::uint8_t* rows,
                    std::uint64_t* counts, int threads, const Stop& stop) {
  using R = Row<kTwists>;
  std::vector<std::uint16_t> twist_after(std::size_t{kTurns} * kSymmetries * kTwists);
  for (int m = 0; m < kTurns; ++m)
    for (int s = 0; s < kSymmetries; ++s)
      for (int twist = 0; twist < kTwists; ++twist)
        twist_after[(m * kSymmetries + s) * kTwists + twist] = t.twist_image[s][t.twist_move[twist][m]];
  const auto after = [&](int m, int s) {
    const std::uint16_t* const become = &twist_after[(m * kSymmetries + s) * kTwists];
    return [become](std::uint32_t twist) { return become[twist]; };
  };
  const auto image = [&](int s, std::uint32_t twist) { return t.twist_image[s][twist]; };
  using Spread = Spreading<kTwists, kTurns, std::uint32_t[kTurns], decltype(after), decltype(image)>;
  const Spread spread{t.class_move, after, image, &classes, symmetries.identity, kClassMask};

  constexpr std::size_t kAll = std::size_t{kClasses} * kRow;
  std::vector<std::uint8_t> other(kAll);
  std::fill_n(rows, kAll, std::uint8_t{0xff});
  std::uint8_t *now = rows, *next = other.data();
  R::set_value(now + (t.class_of[kFlipSliceHome] >> 4) * std::size_t{kRow}, 0, 0);

  std::uint64_t unknown = std::uint64_t{kClasses} * kTwists - 1, frontier = 1;
  counts[0] = 1;
  std::vector<typename Spread::Marked> marked(threads);
  for (int depth = 0; unknown && frontier; ++depth) {
    const int here = depth % 3, there = (depth + 1) % 3;
    const bool forward = frontier * 8 < unknown;
    in_parallel(threads, [&](int thread) {
      const auto first = static_cast<std::uint32_t>(kClasses * std::uint64_t(thread) / threads);
      const auto last = static_cast<std::uint32_t>(kClasses * std::uint64_t(thread + 1) / threads);
      std::memcpy(next + first * R::kBytesOfRow, now + first * R::kBytesOfRow, (last - first) * R::kBytesOfRow);
      marked[thread] = forward ? spread.forward(now, here, next, there, first, last, stop)
                               : spread.backward(now, here, next, there, first, last, stop);
    });
    if (stop) return false;
    std::swap(now, next);
    std::uint64_t elements = 0;
    frontier = 0;
    for (const auto& one : marked) {
      frontier += one.entries;
      elements += one.elements;
    }
    unknown -= frontier;
    if (frontier && depth >= kMostPhaseOne) throw std::logic_error("phase 1 needs more turns than it can");
    if (frontier) counts[depth + 1] = elements;
  }
  if (unknown) throw std::logic_error("phase 1 does not reach every element");
  if (now != rows) std::memcpy(rows, now, kAll);
  return true;
}

// Near distances in phase 2, of the orders of corners and of outer edges together: 0 for kNear turns or fewer, 1 and 2
// for one and two more, 3 for still more.  While a level is filled, 2 means found just now and 1 found one level ago.
bool fill_phase_two(const TurnTable& turns, const SymmetryTable& symmetries, const Tables& t, const Classes& classes,
                    std::uint8_t* rows, int threads, const Stop& stop) {
  using R = Row<kOuterOrders>;
  std::vector<std::array<std::uint16_t, kInnerTurns>> class_move(classes.representative.size());
  for (std::size_t c = 0; c < class_move.size(); ++c)
    for (int k = 0; k < kInnerTurns; ++k)
      class_move[c][k] = t.corner_class[t.corner_move[classes.representative[c]][turns.inner_turn[k]]];
  std::vector<std::array<std::uint16_t, kOuterOrders>> outer_after(kInnerTurns);
  for (int k = 0; k < kInnerTurns; ++k)
    for (int outer = 0; outer < kOuterOrders; ++outer) outer_after[k][outer] = t.outer_move[outer][k];
  const auto after = [&](int k, int s) {
    return [move = outer_after[k].data(), become = t.outer_image[s]](std::uint32_t outer) {
      return become[move[outer]];
    };
  };
  const auto image = [&](int s, std::uint32_t outer) { return t.outer_image[s][outer]; };
  const Spreading<kOuterOrders, kInnerTurns, std::array<std::uint16_t, kInnerTurns>, decltype(after), decltype(image)>
      spread{class_move.data(), after, image, &classes, symmetries.identity, kClassMask};

  constexpr std::size_t kAll = std::size_t{kCornerClasses} * R::kBytesOfRow;
  std::vector<std::uint8_t> other(kAll);
  std::fill_n(rows, kAll, std::uint8_t{0xff});
  std::uint8_t *now = rows, *next = other.data();
  R::set_value(now + (t.corner_class[0] >> 4) * R::kBytesOfRow, 0, 2);
  for (int depth = 0; depth < kNear + 2; ++depth) {
    in_parallel(threads, [&](int thread) {
      const auto first = static_cast<std::uint32_t>(kCornerClasses * thread / threads);
      const auto last = static_cast<std::uint32_t>(kCornerClasses * (thread + 1) / threads);
      for (std::size_t i = first * R::kBytesOfRow; i < last * R::kBytesOfRow; ++i) {
        const unsigned high = now[i] & 0xaa, low = now[i] & 0x55;  // 1 becomes 0, 2 becomes 1
        next[i] = static_cast<std::uint8_t>(high >> 1 | (high & low << 1));
      }
      spread.forward(now, 2, next, 2, first, last, stop);
    });
    if (stop) return false;
    std::swap(now, next);
  }
  if (now != rows) std::memcpy(rows, now, kAll);
  return true;
}

// Distances in phase 2 of the orders of eight pieces together with the order of the middle edges; `after(order, k)` is
// what turn k makes of the former.
template <class After>
void fill_with_middle(std::uint8_t (*distance)[kMiddleOrders], const Tables& t, After after) {
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
  place(t.corner_class, kCornerOrders);
  place(t.outer_image, kSymmetries);
  place(t.phase_one, std::size_t{kClasses} * kRow);
  place(t.corner_middle, kCornerOrders);
  place(t.outer_middle, kOuterOrders);
  place(t.phase_two, std::size_t{kCornerClasses} * (kOuterOrders / 4));
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
    throw std::invalid_argument("these are not the 18 turns of the faces, U and D leaving edges and corners unturned");
  follow[kTurns] = any;
  same_face[kTurns] = 0;
  for (int a = 0; a < kTurns; ++a) {
    same_face[a] = faces[a];
    follow[a] = any & ~faces[a];
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
  if (lay_out(data, t) != bytes || reinterpret_cast<std::uintptr_t>(data) % alignof(TablesHead) ||
      t.head->size != bytes)
    throw std::invalid_argument("these are not the tables of the two-phase solver");
  return t;
}

std::size_t Tables::bytes() {
  Tables t;
  return lay_out(nullptr, t);
}

bool build_two_phase(const Cube* turns, const std::uint8_t* symmetries, int threads, std::uint8_t* data,
                     const Stop& stop) {
  const TurnTable turn_table(turns);
  const SymmetryTable symmetry_table(symmetries);
  Tables t;
  const std::size_t bytes = lay_out(data, t);
  std::fill_n(data, bytes, std::uint8_t{0});
  // The tables are seen as constant by all but this function.
  const auto open = []<class T>(const T* table) { return const_cast<T*>(table); };
  open(t.head)->size = bytes;
  fill_moves(turn_table, open(t.twist_move), open(t.flip_move), open(t.four_move), open(t.corner_move),
             open(t.outer_move), open(t.middle_move));
  if (stop) return false;
  // Symmetries: of flips and slice, of twists; and inside H of the corners' and the outer edges' orders.
  const Makers makers(symmetry_table);
  const auto flip_slice_after = [&](std::uint32_t x, int m) -> std::uint32_t {
    return t.four_move[x / kFlips * 24][m] / 24 * kFlips + t.flip_move[x % kFlips][m];
  };
  const Classes classes = fill_classes(
      kFlipSlices, symmetry_table, makers,
      images(kFlipSlices, kFlipSliceHome, makers.turn, turn_table.any, flip_slice_after), open(t.class_of));
  if (classes.representative.size() != kClasses) throw std::invalid_argument("these symmetries do not keep the axis");
  for (std::size_t c = 0; c < kClasses; ++c)
    for (int m = 0; m < kTurns; ++m)
      open(t.class_move)[c][m] = t.class_of[flip_slice_after(classes.representative[c], m)];
  add_distances(open(t.class_move), t.class_of[kFlipSliceHome] >> 4);
  if (stop) return false;
  const auto corners_after = [&](std::uint32_t order, int m) { return t.corner_move[order][m]; };
  const auto outer_after = [&](std::uint32_t order, int m) {
    return t.outer_move[order][std::popcount(turn_table.inner & ((1u << m) - 1))];
  };
  const Classes corner_classes = fill_classes(
      kCornerOrders, symmetry_table, makers,
      images(kCornerOrders, 0, makers.turn, turn_table.inner, corners_after), open(t.corner_class));
  if (corner_classes.representative.size() != kCornerClasses)
    throw std::invalid_argument("these symmetries do not keep the axis");
  std::vector<const std::array<std::uint8_t, kTurns>*> all;
  for (const auto& one : symmetry_table.turn) all.push_back(&one);
  const auto twist_images = images(kTwists, 0, all, turn_table.any,
                                   [&](std::uint32_t twist, int m) { return t.twist_move[twist][m]; });
  const auto outer_images = images(kOuterOrders, 0, all, turn_table.inner, outer_after);
  for (int s = 0; s < kSymmetries; ++s) {
    std::copy(twist_images[s].begin(), twist_images[s].end(), open(t.twist_image)[s]);
    std::copy(outer_images[s].begin(), outer_images[s].end(), open(t.outer_image)[s]);
  }

  threads = std::clamp(threads, 1, 8);
  if (stop || !fill_phase_one(symmetry_table, t, classes, open(t.phase_one), open(t.head)->phase_one, threads, stop) ||
      !fill_phase_two(turn_table, symmetry_table, t, corner_classes, open(t.phase_two), threads, stop))
    return false;
  in_parallel(threads > 1 ? 2 : 1, [&](int thread) {
    if (thread == 0)
      fill_with_middle(open(t.corner_middle), t,
                       [&](std::uint32_t order, int k) { return t.corner_move[order][turn_table.inner_turn[k]]; });
    if (thread == 1 || threads < 2)
      fill_with_middle(open(t.outer_middle), t, [&](std::uint32_t order, int k) { return t.outer_move[order][k]; });
  });
  return !stop;
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
