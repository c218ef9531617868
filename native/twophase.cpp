// The two-phase search and the optimal search of twophase.hpp.
#include "twophase.hpp"

#include <algorithm>
#include <limits>
#include <stdexcept>
#include <thread>

namespace nightfold {

namespace {

// How often a search looks whether it should stop, in nodes (a power of two).
constexpr std::uint64_t kBetweenLooks = 4096;

// A distance from the one beside it and its own residue modulo 3, since the two differ by one at most.
constexpr auto kBeside = [] {
  std::array<std::array<std::uint8_t, 4>, kMostPhaseOne + 1> table{};
  for (int d = 0; d <= kMostPhaseOne; ++d)
    for (int v = 0; v < 3; ++v) table[d][v] = static_cast<std::uint8_t>(d + (v - d % 3 + 4) % 3 - 1);
  return table;
}();

}  // namespace

TwoPhase::TwoPhase(const Cube* turns, const std::uint8_t* symmetries, const Cube* axes, const std::uint8_t* tables,
                   std::size_t bytes)
    : turns_(turns), symmetries_(symmetries), tables_(Tables::at(tables, bytes)) {
  for (int a = 0; a < kAxes; ++a) {
    axis_[a] = axes[a];
    axis_back_[a] = inverse(axes[a]);
    for (int m = 0; m < kTurns; ++m) {
      const int held = turns_.index_of(product_scalar(product_scalar(axis_back_[a], turns_.turn[m]), axis_[a]));
      if (held < 0) throw std::invalid_argument("an axis is given by something else than a rotation");
      axis_turn_[a][m] = static_cast<std::uint8_t>(held);
      turn_of_axis_[a][held] = static_cast<std::uint8_t>(m);
    }
  }
}

// Finds the distance by walking down to home, one residue after the other.
TwoPhase::Element TwoPhase::element_of(const Cube& cube) const {
  const Tables& t = tables_;
  const int home = static_cast<int>(t.class_of[kFlipSliceHome] >> 4);
  const std::uint32_t start = t.class_of[four_of(cube, 8) / 24 * kFlips + flip_of(cube)];
  Element element{start >> 4, static_cast<std::uint16_t>(twist_of(cube)), static_cast<std::uint8_t>(start & 15), 0};
  Element walker = element;
  while (static_cast<int>(walker.cls) != home || walker.twist != 0) {
    const int wanted = (residue(walker.cls, walker.symmetry, walker.twist) + 2) % 3;
    for (int m = 0; m < kTurns; ++m) {
      const std::uint32_t next = t.class_move[walker.cls][symmetries_.turn[walker.symmetry][m]];
      const std::uint32_t cls = next >> 4 & kClassMask;
      const std::uint8_t symmetry = symmetries_.product[next & 15][walker.symmetry];
      const std::uint16_t twist = t.twist_move[walker.twist][m];
      if (residue(cls, symmetry, twist) != wanted) continue;
      walker = {cls, twist, symmetry, 0};
      break;
    }
    if (++element.distance > kMostPhaseOne) throw std::logic_error("the tables lead nowhere");
  }
  return element;
}

int TwoPhase::phase_one_distance(const Cube& cube) const { return element_of(cube).distance; }

// --- two phases ----------------------------------------------------------------------------------------------

class PhaseSearch {
 public:
  PhaseSearch(const TwoPhase& solver, int longest, std::uint64_t effort, const Stop& stop,
              std::atomic<std::uint64_t>& nodes)
      : solver_(solver), t_(solver.tables_), bound_(longest), effort_(effort), stop_(stop), all_nodes_(nodes) {
    for (int last = 0; last <= kTurns; ++last)
      for (int k = 0; k < kInnerTurns; ++k)
        inner_follow_[last] |= (solver.turns_.follow[last] >> solver.turns_.inner_turn[k] & 1) << k;
    for (int last = 0; last < kTurns; ++last) {
      inner_other_[last] = 0;
      for (int k = 0; k < kInnerTurns; ++k)
        inner_other_[last] |= (~solver.turns_.same_face[last] >> solver.turns_.inner_turn[k] & 1) << k;
    }
    inner_other_[kTurns] = (1u << kInnerTurns) - 1;
  }

  Solution run(const Cube& cube) {
    // Solving the inverse backwards, or any axis as if it were the up-down axis, is solving the cube.
    std::array<View, 2 * kAxes> views;
    int count = 0;
    for (int backwards = 0; backwards < 2; ++backwards)
      for (int axis = 0; axis < kAxes; ++axis) {
        const Cube held = product_scalar(product_scalar(solver_.axis_back_[axis], cube), solver_.axis_[axis]);
        const Cube seen = backwards ? inverse(held) : held;
        if (std::any_of(views.begin(), views.begin() + count, [&](const View& v) { return v.cube == seen; })) continue;
        views[count++] = {seen, solver_.element_of(seen), axis, backwards != 0};
      }
    std::stable_sort(views.begin(), views.begin() + count,
                     [](const View& a, const View& b) { return a.element.distance < b.element.distance; });
    least_ = views[count - 1].element.distance;

    for (int length = views[0].element.distance; length <= bound_ && !done_; ++length)
      for (int v = 0; v < count && !done_ && length <= bound_; ++v) {
        if (views[v].element.distance > length) break;
        view_ = &views[v];
        corners_[0] = static_cast<std::uint16_t>(corners_of(view_->cube));
        for (int four = 0; four < 3; ++four)
          fours_[0][four] = static_cast<std::uint16_t>(four_of(view_->cube, 4 * four));
        coarse_ = fine_ = 0;
        length_ = length;
        const TwoPhase::Element& e = view_->element;
        if (length)
          phase_one(0, length, e.cls, e.symmetry, e.twist, e.distance, solver_.turns_.follow[kTurns]);
        else
          phase_two(0);
      }
    all_nodes_ += nodes_;
    return best_;
  }

 private:
  struct View {
    Cube cube;
    TwoPhase::Element element;
    int axis;
    bool backwards;
  };
  struct Step {
    std::uint32_t cls;
    std::uint16_t twist;
    std::uint8_t symmetry, distance, turn;
  };

  const TwoPhase& solver_;
  const Tables& t_;
  int bound_;  // the longest solution still wanted
  const std::uint64_t effort_;
  const Stop& stop_;
  std::atomic<std::uint64_t>& all_nodes_;
  std::uint64_t nodes_ = 0;
  bool done_ = false;
  int least_ = 0;  // no solution is shorter
  int length_ = 0;
  const View* view_ = nullptr;
  std::array<std::uint16_t, kTurns + 1> inner_follow_{}, inner_other_{};

  std::array<std::uint8_t, kMostTurns + 1> made_{};
  // What the turns made so far do to the corners and to the edges of U, D and the middle; known up to `coarse_` for
  // the corners and the middle, up to `fine_` for the others.
  std::array<std::uint16_t, kMostTurns + 1> corners_;
  std::array<std::array<std::uint16_t, 3>, kMostTurns + 1> fours_;
  int coarse_ = 0, fine_ = 0;

  Solution best_;

  void count_node() {
    if (++nodes_ % kBetweenLooks == 0) done_ |= stop_;
    done_ |= nodes_ > effort_ && best_.length >= 0;
  }

  void phase_one(int made, int left, std::uint32_t cls, std::uint32_t symmetry, std::uint32_t twist, int distance,
                 std::uint32_t allowed) {
    count_node();
    // The last turn leads into H, so it is none of H's.
    if (--left == 0) allowed &= ~solver_.turns_.inner;
    const std::uint32_t* const class_move = t_.class_move[cls];
    const std::uint8_t* const symmetric = solver_.symmetries_.turn[symmetry].data();
    const std::uint16_t* const twist_move = t_.twist_move[twist];
    const std::uint8_t* const beside = kBeside[distance].data();
    Step steps[kTurns];
    int count = 0;
    for (std::uint32_t rest = allowed; rest; rest &= rest - 1) {
      const int m = std::countr_zero(rest);
      const std::uint32_t next = class_move[symmetric[m]];
      if (static_cast<int>(next >> kDistanceAt) > left) continue;
      Step& step = steps[count];
      step.cls = next >> 4 & kClassMask;
      step.symmetry = solver_.symmetries_.product[next & 15][symmetry];
      step.twist = twist_move[m];
      step.distance = beside[solver_.residue(step.cls, step.symmetry, step.twist)];
      step.turn = static_cast<std::uint8_t>(m);
      // From H no way of one to four turns that ends with a turn not of H leads back into H.
      count += step.distance <= left && (step.distance || left == 0 || left > 4);
    }
    for (int i = 0; i < count && !done_; ++i) {
      const Step& step = steps[i];
      made_[made] = step.turn;
      coarse_ = std::min(coarse_, made);
      fine_ = std::min(fine_, made);
      if (left == 0)
        phase_two(made + 1);
      else
        phase_one(made + 1, left, step.cls, step.symmetry, step.twist, step.distance,
                  solver_.turns_.follow[step.turn]);
      if (length_ > bound_) return;
    }
  }

  // Phase 1 is done with `made` turns; solve what is left in as few turns as the bound allows.
  void phase_two(int made) {
    const int most = bound_ - made;
    for (; coarse_ < made; ++coarse_) {
      corners_[coarse_ + 1] = t_.corner_move[corners_[coarse_]][made_[coarse_]];
      fours_[coarse_ + 1][2] = t_.four_move[fours_[coarse_][2]][made_[coarse_]];
    }
    const std::uint32_t corners = corners_[made];
    const std::uint32_t middle = fours_[made][2] - std::uint32_t{kMiddleHome};
    const int coarse = t_.corner_middle[corners][middle];
    if (coarse > most) return;
    for (; fine_ < made; ++fine_)
      for (int four = 0; four < 2; ++four)
        fours_[fine_ + 1][four] = t_.four_move[fours_[fine_][four]][made_[fine_]];
    const std::uint32_t outer = fours_[made][0] * std::uint32_t{24} + fours_[made][1] % 24;
    int least = std::max<int>(coarse, t_.outer_middle[outer][middle]);
    if (least > most) return;
    least = std::max(least, near(corners, outer));
    for (int length = least; length <= most && !done_; ++length) {
      const std::uint32_t allowed = inner_other_[made ? made_[made - 1] : kTurns];
      if (length == 0 || inside(made, length, corners, outer, middle, allowed)) {
        if (!done_) keep(made + length);
        return;
      }
    }
  }

  // What phase 2 needs at least by the orders of corners and outer edges; 0 when that is kNear or less.
  int near(std::uint32_t corners, std::uint32_t outer) const {
    const std::uint32_t cls = t_.corner_class[corners], o = t_.outer_image[cls & 15][outer];
    const int value = t_.phase_two[(cls >> 4) * std::size_t{kOuterOrders / 4} + (o >> 2)] >> (2 * (o & 3)) & 3;
    return value ? kNear + value : 0;
  }

  // A way home of just `left` turns inside H.
  bool inside(int made, int left, std::uint32_t corners, std::uint32_t outer, std::uint32_t middle,
              std::uint32_t allowed) {
    count_node();
    if (done_) return true;
    --left;
    for (std::uint32_t rest = allowed; rest; rest &= rest - 1) {
      const int k = std::countr_zero(rest);
      const std::uint32_t next_middle = t_.middle_move[middle][k];
      const int m = solver_.turns_.inner_turn[k];
      const std::uint32_t next_corners = t_.corner_move[corners][m];
      if (t_.corner_middle[next_corners][next_middle] > left) continue;
      const std::uint32_t next_outer = t_.outer_move[outer][k];
      if (t_.outer_middle[next_outer][next_middle] > left) continue;
      if (left >= kNear && near(next_corners, next_outer) > left) continue;
      made_[made] = static_cast<std::uint8_t>(m);
      if (left == 0 || inside(made + 1, left, next_corners, next_outer, next_middle, inner_follow_[m])) return true;
    }
    return false;
  }

  // The turns made are a solution; from now on only shorter ones are wanted.
  void keep(int length) {
    best_.length = length;
    for (int i = 0; i < length; ++i) {
      const int turn = solver_.turn_of_axis_[view_->axis][made_[i]];
      if (view_->backwards)
        best_.turn[length - 1 - i] = solver_.turns_.inverse[turn];
      else
        best_.turn[i] = static_cast<std::uint8_t>(turn);
    }
    bound_ = length - 1;
    done_ |= length <= least_ || nodes_ > effort_;
  }
};

Solution TwoPhase::solve(const Cube& cube, int longest, std::uint64_t effort, const Stop& stop,
                         std::atomic<std::uint64_t>& nodes) const {
  return PhaseSearch(*this, std::min(longest, kMostTurns), effort, stop, nodes).run(cube);
}

// --- optimal -------------------------------------------------------------------------------------------------

class OptimalSearch {
 public:
  using Three = std::array<TwoPhase::Element, kAxes>;

  OptimalSearch(const TwoPhase& solver, const Stop& stop) : solver_(solver), t_(solver.tables_), stop_(stop) {
    for (int a = 0; a < kAxes; ++a)
      for (int s = 0; s < kSymmetries; ++s)
        for (int m = 0; m < kTurns; ++m) class_turn_[a][s][m] = solver.symmetries_.turn[s][solver.axis_turn_[a][m]];
  }

  Three start(const Cube& cube) const {
    Three elements;
    for (int a = 0; a < kAxes; ++a)
      elements[a] =
          solver_.element_of(product_scalar(product_scalar(solver_.axis_back_[a], cube), solver_.axis_[a]));
    return elements;
  }

  // How many turns the cube needs at least.  When all three axes need the same number of turns d > 0, the cube needs
  // one more: the last turn of a solution is a turn of H for one of the axes, so that one is done before it.
  static int least(const Three& e) {
    const int most = std::max({e[0].distance, e[1].distance, e[2].distance});
    return most + (most && e[0].distance == e[1].distance && e[1].distance == e[2].distance);
  }

  // One thread's part of looking for solutions of just one length.
  struct Walk {
    const Cube* cube;
    std::uint64_t nodes = 0;
    std::atomic<std::uint64_t>* all_nodes;
    std::atomic<int>* found;  // the first beginning with a solution below it
    int beginning = 0;
    bool over = false;  // nothing it could still find is wanted
    std::array<std::uint8_t, kMostTurns> made{};
  };

  struct Beginning {
    Three elements;
    std::array<std::uint8_t, 2> made;
    int count;
  };

  // What two turns can lead to, in a fixed order; shorter when the length allows no two.
  void begin(const Three& from, int made, int left, std::uint32_t allowed, std::array<std::uint8_t, 2> turns,
             std::vector<Beginning>& found) const {
    if (made == 2 || left == 0) {
      found.push_back({from, turns, made});
      return;
    }
    for (std::uint32_t rest = allowed; rest; rest &= rest - 1) {
      const int m = std::countr_zero(rest);
      Three next;
      if (!after(from, furthest_first(from), m, left - 1, next)) continue;
      turns[made] = static_cast<std::uint8_t>(m);
      begin(next, made + 1, left - 1, solver_.turns_.follow[m], turns, found);
    }
  }

  // True when a solution that goes on with `left` turns is found; `walk.made` holds it then.
  bool walk_on(Walk& walk, const Three& from, int made, int left, std::uint32_t allowed) const {
    if (left == 0) return is_solution(walk, made);
    if (++walk.nodes % kBetweenLooks == 0) {
      *walk.all_nodes += kBetweenLooks;
      walk.over = stop_ || walk.found->load(std::memory_order_relaxed) < walk.beginning;
    }
    if (walk.over) return false;
    const std::array<std::uint8_t, kAxes> order = furthest_first(from);
    Three next[kTurns];
    std::uint8_t turns[kTurns];
    int count = 0;
    for (std::uint32_t rest = allowed; rest; rest &= rest - 1) {
      const int m = std::countr_zero(rest);
      turns[count] = static_cast<std::uint8_t>(m);
      count += after(from, order, m, left - 1, next[count]);
    }
    for (int i = 0; i < count; ++i) {
      walk.made[made] = turns[i];
      if (walk_on(walk, next[i], made + 1, left - 1, solver_.turns_.follow[turns[i]])) return true;
    }
    return false;
  }

 private:
  const TwoPhase& solver_;
  const Tables& t_;
  const Stop& stop_;
  // Which turn of a class's representative a turn is, by axis and by the symmetry that leads to the class.
  std::array<std::array<std::array<std::uint8_t, kTurns>, kSymmetries>, kAxes> class_turn_;

  // The axes, that which is furthest from home first: it most likely tells that a turn leads nowhere.
  static std::array<std::uint8_t, kAxes> furthest_first(const Three& from) {
    std::array<std::uint8_t, kAxes> order{0, 1, 2};
    const auto sort = [&](int i, int j) {
      if (from[order[i]].distance < from[order[j]].distance) std::swap(order[i], order[j]);
    };
    sort(0, 1), sort(1, 2), sort(0, 1);
    return order;
  }

  // Turns `from`; false when what comes of it cannot be solved in `left` turns.
  bool after(const Three& from, const std::array<std::uint8_t, kAxes>& order, int m, int left, Three& to) const {
    for (const int a : order) {
      const TwoPhase::Element& e = from[a];
      const std::uint32_t next = t_.class_move[e.cls][class_turn_[a][e.symmetry][m]];
      if (static_cast<int>(next >> kDistanceAt) > left) return false;
      TwoPhase::Element& made = to[a];
      made.cls = next >> 4 & kClassMask;
      made.symmetry = solver_.symmetries_.product[next & 15][e.symmetry];
      made.twist = t_.twist_move[e.twist][solver_.axis_turn_[a][m]];
      made.distance = kBeside[e.distance][solver_.residue(made.cls, made.symmetry, made.twist)];
      if (made.distance > left) return false;
    }
    return least(to) <= left;
  }

  // All three axes may be home without the cube being solved.
  bool is_solution(const Walk& walk, int made) const {
    Cube cube = *walk.cube;
    for (int i = 0; i < made; ++i) cube = product_scalar(cube, solver_.turns_.turn[walk.made[i]]);
    return cube == identity();
  }
};

Solution TwoPhase::optimal(const Cube& cube, int longest, int threads, const Stop& stop,
                           std::atomic<std::uint64_t>& nodes, std::atomic<int>& depth) const {
  // Solutions of the inverse are those of the cube backwards.  Both are looked for until it shows which costs less.
  constexpr std::uint64_t kEnoughToTell = 20000;
  constexpr int kNone = std::numeric_limits<int>::max();
  const OptimalSearch search(*this, stop);
  const Cube cubes[2] = {cube, nightfold::inverse(cube)};
  const OptimalSearch::Three starts[2] = {search.start(cubes[0]), search.start(cubes[1])};
  std::uint64_t cost[2] = {0, 0};
  bool wanted[2] = {true, !(cubes[0] == cubes[1])};
  longest = std::min(longest, kMostTurns);
  for (int length = std::max(search.least(starts[0]), search.least(starts[1])); length <= longest; ++length) {
    depth = length;
    for (int side = 0; side < 2; ++side) {
      if (!wanted[side]) continue;
      std::vector<OptimalSearch::Beginning> beginnings;
      search.begin(starts[side], 0, length, turns_.follow[kTurns], {}, beginnings);
      std::atomic<int> next{0}, found{kNone};
      std::atomic<std::uint64_t> before{nodes.load()};
      std::vector<OptimalSearch::Walk> walks(std::max(threads, 1));
      std::vector<std::array<std::uint8_t, kMostTurns>> solutions(beginnings.size());
      std::atomic<std::uint64_t> rest{0};
      const auto work = [&](OptimalSearch::Walk& walk) {
        walk.cube = &cubes[side];
        walk.all_nodes = &nodes;
        walk.found = &found;
        while (!stop) {
          const int b = next++;
          if (b >= static_cast<int>(beginnings.size()) || b > found) break;
          const OptimalSearch::Beginning& beginning = beginnings[b];
          walk.beginning = b;
          std::copy_n(beginning.made.begin(), beginning.count, walk.made.begin());
          const std::uint32_t allowed = turns_.follow[beginning.count ? beginning.made[beginning.count - 1] : kTurns];
          if (!search.walk_on(walk, beginning.elements, beginning.count, length - beginning.count, allowed)) continue;
          solutions[b] = walk.made;
          for (int was = found; b < was && !found.compare_exchange_weak(was, b);) {
          }
        }
        rest += walk.nodes % kBetweenLooks;
      };
      std::vector<std::thread> others;
      for (std::size_t k = 1; k < walks.size(); ++k) others.emplace_back(work, std::ref(walks[k]));
      work(walks[0]);
      for (std::thread& other : others) other.join();
      nodes += rest;
      if (stop) return {};
      if (found != kNone) {
        Solution solution;
        solution.length = length;
        for (int i = 0; i < length; ++i) {
          const std::uint8_t turn = solutions[found][i];
          solution.turn[side ? length - 1 - i : i] = side ? turns_.inverse[turn] : turn;
        }
        return solution;
      }
      cost[side] = nodes - before;
    }
    if (wanted[0] && wanted[1] && std::max(cost[0], cost[1]) > kEnoughToTell) wanted[cost[1] < cost[0] ? 0 : 1] = false;
  }
  return {};
}

}  // namespace nightfold
