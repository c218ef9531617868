#include "inquest.hpp"

#include <algorithm>
#include <initializer_list>
#include <mutex>
#include <set>
#include <thread>
#include <unordered_map>

namespace nightfold {

namespace {

using Index = std::size_t;

Cube times(const Cube& a, const Cube& b) {
  static const Path path = best_path();
  Cube product;
  multiply(&a, true, &b, true, &product, 1, path);
  return product;
}

Index at(int number) { return static_cast<Index>(number); }

// Only what tells states apart: a cheap fingerprint, since every hit is compared in full.
inline std::uint64_t quick_print(const Cube& a) {
  std::uint64_t e, f, c;
  std::memcpy(&e, a.at.data(), 8);
  std::memcpy(&f, a.at.data() + 8, 8);
  std::memcpy(&c, a.at.data() + kCornerAt, 8);
  std::uint64_t h = (e ^ (f * 0x9e3779b97f4a7c15ull)) * 0xff51afd7ed558ccdull;
  h = (h ^ (h >> 32) ^ c) * 0xc4ceb9fe1a85ec53ull;
  return h ^ (h >> 29);
}

int wrong_pieces(const Cube& a, const Cube& b) {
  int wrong = 0;
  for (Index i = 0; i < kEdges; ++i) wrong += a.at[i] != b.at[i];
  for (Index i = kCornerAt; i < kCornerAt + kCorners; ++i) wrong += a.at[i] != b.at[i];
  return wrong;
}

// So many bits of the filter stay in the first-level cache.
constexpr int kFilterBits = 18;

constexpr Index kBlock = 64;

}  // namespace

// --- what is known of a plan -----------------------------------------------------------------------------------------

InquestDesk::InquestDesk(const Inquest& question) : rotations_(question.rotations) {
  for (const Cube& a : rotations_)
    for (const Cube& b : rotations_) rotation_products_.push_back(held(times(a, b)));
  make_singles(question);
  make_index();
}

int InquestDesk::held(const Cube& cube) const {
  for (Index r = 0; r < rotations_.size(); ++r)
    if (std::equal(cube.at.begin() + kCentreAt, cube.at.begin() + kCentreAt + kCentres, rotations_[r].at.begin() + kCentreAt))
      return static_cast<int>(r);
  return -1;
}

void InquestDesk::make_singles(const Inquest& q) {
  const Path path = best_path();
  const Index n = q.meant.size();
  std::vector<Cube> after(n + 1), back(n + 1);
  after[n] = identity();
  for (Index t = n; t-- > 0;) after[t] = times(q.turns[q.meant[t]], after[t + 1]);
  for (Index t = 0; t <= n; ++t) back[t] = inverse(after[t]);

  std::vector<Cube> effects;
  const auto take = [&](const Cube& effect, SlipMade slip, int start, int end, float weight, int split) {
    const int how = held(effect);
    // What changes nothing but how the cube is held at the end leaves no trace.
    if (how < 0 || effect == rotations_[at(how)]) return;
    singles_.push_back({slip, start, end, weight, static_cast<std::int32_t>(effects.size()), split});
    effects.push_back(effect);
  };
  // The element of replacing the turns start..end-1: undo all from start on, then do it the new way.
  const auto seen_from_end = [&](const Stretch& stretch) {
    Cube made = back[at(stretch.start)];
    for (const std::uint8_t turn : stretch.turns) made = times(made, q.turns[turn]);
    return times(made, after[at(stretch.end)]);
  };
  for (Index e = 0; e < q.edits.size(); ++e) {
    const Stretch& s = q.edits[e].stretch;
    take(seen_from_end(s), {0, s.start, static_cast<int>(e)}, s.start, s.end, q.edits[e].weight, -1);
  }
  for (Index e = 0; e < q.splits.size(); ++e) {
    const SplitEdit& split = q.splits[e];
    const Cube a = seen_from_end(split.first), b = seen_from_end(split.second);
    const bool plain = held(a) == 0 && held(b) == 0;
    splits_.push_back({inverse(a), inverse(b), split.first.end, split.second.start, -1, plain});
    take(times(a, b), {3, split.first.start, static_cast<int>(e)}, split.first.start, split.second.end, split.weight,
         static_cast<int>(e));
  }
  // Single turns by the dozen: everything that can happen at one place is one block of products.
  std::vector<Cube> made, seen;
  for (Index t = 0; t < n; ++t) {
    const auto& choices = q.alternatives[q.meant[t]];
    made.clear();
    for (const Alternative& one : choices) made.push_back(one.turn < 0 ? identity() : q.turns[at(one.turn)]);
    seen.resize(made.size());
    multiply(&back[t], true, made.data(), false, seen.data(), made.size(), path);
    multiply(seen.data(), false, &after[t + 1], true, made.data(), made.size(), path);
    for (Index a = 0; a < choices.size(); ++a)
      take(made[a], {1, static_cast<int>(t), static_cast<int>(a)}, static_cast<int>(t), static_cast<int>(t) + 1,
           choices[a].weight, -1);
  }
  std::vector<Cube> strays;
  for (const Alternative& one : q.strays) strays.push_back(q.turns[at(one.turn)]);
  made.resize(strays.size());
  seen.resize(strays.size());
  for (Index t = 0; t <= n; ++t) {
    multiply(&back[t], true, strays.data(), false, seen.data(), strays.size(), path);
    multiply(seen.data(), false, &after[t], true, made.data(), strays.size(), path);
    for (Index s = 0; s < strays.size(); ++s)
      take(made[s], {2, static_cast<int>(t), static_cast<int>(s)}, static_cast<int>(t), static_cast<int>(t),
           q.strays[s].weight, -1);
  }
  // The likeliest first, so that a search over some of them takes the best.
  std::stable_sort(singles_.begin(), singles_.end(), [](const Single& a, const Single& b) { return a.weight > b.weight; });
  for (Index i = 0; i < singles_.size(); ++i)
    if (singles_[i].split >= 0) splits_[at(singles_[i].split)].single = static_cast<int>(i);
  make_classes(effects);
}

void InquestDesk::make_classes(const std::vector<Cube>& effects) {
  std::unordered_multimap<std::uint64_t, int> known;
  known.reserve(singles_.size());
  for (Index i = 0; i < singles_.size(); ++i) {
    Single& single = singles_[i];
    const Cube& effect = effects[at(single.next)];  // where make_singles left it
    single.next = -1;
    const std::uint64_t print = fingerprint(effect);
    int found = -1;
    for (auto [it, end] = known.equal_range(print); it != end; ++it)
      if (effects_[at(it->second)] == effect) found = it->second;
    if (found >= 0) {
      Class& mine = classes_[at(found)];
      singles_[at(mine.last)].next = static_cast<std::int32_t>(i);
      mine.last = static_cast<int>(i);
      mine.min_end = std::min(mine.min_end, single.end);
      mine.max_start = std::max(mine.max_start, single.start);
      continue;
    }
    known.emplace(print, static_cast<int>(classes_.size()));
    classes_.push_back({static_cast<int>(i), static_cast<int>(i), held(effect), single.end, single.start, single.weight});
    effects_.push_back(effect);
    backs_.push_back(inverse(effect));
  }
}

void InquestDesk::make_index() {
  bits_ = 4;
  while ((Index{1} << bits_) < classes_.size() * 2) ++bits_;
  first_.assign(Index{1} << bits_, -1);
  next_.assign(classes_.size(), -1);
  prints_.resize(classes_.size());
  filter_.assign((Index{1} << kFilterBits) / 64, 0);
  for (Index i = classes_.size(); i-- > 0;) {
    const std::uint64_t print = prints_[i] = quick_print(effects_[i]);
    std::int32_t& head = first_[print >> (64 - bits_)];
    next_[i] = head;
    head = static_cast<std::int32_t>(i);
    const std::uint64_t bit = print >> (64 - kFilterBits);
    filter_[bit / 64] |= std::uint64_t{1} << (bit % 64);
    const int how = classes_[i].held;
    if (std::find(holds_.begin(), holds_.end(), how) == holds_.end()) holds_.push_back(how);
  }
  std::sort(holds_.begin(), holds_.end());
}

// --- one cube that came out ------------------------------------------------------------------------------------------

class InquestDesk::Search {
 public:
  Search(const InquestDesk& desk, const Cube& target, const InquestOptions& options, Watch& watch)
      : desk_(desk), target_(target), options_(options), watch_(watch) {
    for (const Cube& rotation : desk.rotations_) turned_.push_back(times(target, rotation));
  }

  InquestResult run() {
    result_.singles = desk_.singles_.size();
    if (target_ == identity()) {
      add(0.0f, {});  // whatever else explains it holds slips that could be left away
      return std::move(result_);
    }
    if (options_.most_slips >= 1) one();
    if (options_.most_slips >= 2) two();
    if (options_.most_slips >= 3) three();
    if (result_.explanations.empty() && options_.nearest) nearest();
    std::sort(result_.explanations.begin(), result_.explanations.end(), [](const Explanation& a, const Explanation& b) {
      if (a.weight != b.weight) return a.weight > b.weight;
      return key(a) < key(b);
    });
    if (result_.explanations.size() > options_.most_explanations)
      result_.explanations.resize(options_.most_explanations);
    return std::move(result_);
  }

 private:
  static std::vector<int> key(const Explanation& e) {
    std::vector<int> numbers;
    for (const SlipMade& s : e.slips) numbers.insert(numbers.end(), {s.kind, s.place, s.number});
    return numbers;
  }

  const Class& of(int number) const { return desk_.classes_[at(number)]; }
  const Cube& effect(int number) const { return desk_.effects_[at(number)]; }
  const Cube& back(int number) const { return desk_.backs_[at(number)]; }
  const Cube& turned(int rotation) const { return turned_[at(rotation)]; }

  bool may_be(std::uint64_t print) const {
    const std::uint64_t bit = print >> (64 - kFilterBits);
    return desk_.filter_[bit / 64] >> (bit % 64) & 1;
  }

  // Calls use(number) for the class with the wanted effect, if there is one.
  template <class Use>
  void look_up(const Cube& wanted, const Use& use) const {
    const std::uint64_t print = quick_print(wanted);
    if (!may_be(print)) return;
    for (std::int32_t i = desk_.first_[print >> (64 - desk_.bits_)]; i >= 0; i = desk_.next_[at(i)])
      if (desk_.prints_[at(i)] == print && effect(i) == wanted) use(static_cast<int>(i));
  }

  // Slips in the order of turning; a split one with nothing in between counts twice.
  static void tell(std::vector<SlipMade>& slips, const Single& single) {
    slips.push_back(single.slip);
    if (single.split >= 0) slips.push_back({4, single.end, single.split});
  }

  template <class... More>
  static std::vector<SlipMade> told(const More&... singles) {
    std::vector<SlipMade> slips;
    (tell(slips, singles), ...);
    return slips;
  }

  // A split slip with others before it, between its parts and behind it.
  static std::vector<SlipMade> told_within(const Single& outer, const Single* before, std::initializer_list<const Single*> inside,
                                           const Single* behind) {
    std::vector<SlipMade> slips;
    if (before) tell(slips, *before);
    slips.push_back(outer.slip);
    for (const Single* single : inside) tell(slips, *single);
    slips.push_back({4, outer.end, outer.split});
    if (behind) tell(slips, *behind);
    return slips;
  }

  void add(float weight, std::vector<SlipMade> slips) {
    const std::lock_guard lock(mutex_);
    auto& found = result_.explanations;
    found.push_back({weight, std::move(slips)});
    if (found.size() < 8 * options_.most_explanations + 1024) return;
    const auto most = static_cast<std::ptrdiff_t>(options_.most_explanations);
    std::nth_element(found.begin(), found.begin() + most, found.end(), [](const Explanation& a, const Explanation& b) {
      return a.weight != b.weight ? a.weight > b.weight : key(a) < key(b);
    });
    found.resize(options_.most_explanations);
  }

  // Every member of a class that is likely enough.
  template <class Use>
  void members(int number, float least, const Use& use) const {
    for (int i = of(number).first; i >= 0; i = desk_.singles_[at(i)].next) {
      const Single& single = desk_.singles_[at(i)];
      if (single.weight < least) return;
      use(single);
    }
  }

  // Whether a may come before b; of two turns slipped in at one place whose order makes no difference one order counts.
  bool before(const Single& a, int class_a, const Single& b, int class_b) const {
    if (a.end > b.start) return false;
    if (a.start != b.end) return true;  // not both slipped in at one place
    if (class_a == class_b) return &a < &b;
    return class_a < class_b || !(times(effect(class_a), effect(class_b)) == times(effect(class_b), effect(class_a)));
  }

  bool alone(int number) const { return std::find(alone_.begin(), alone_.end(), number) != alone_.end(); }

  using Key = std::array<int, 3>;
  using Keys = std::pair<Key, Key>;
  static Key key(const Single& single) { return {single.slip.kind, single.slip.place, single.slip.number}; }
  static Keys keys(const Single& a, const Single& b) { return std::minmax(key(a), key(b)); }

  bool known(const Single& a) const { return known_.count(key(a)) != 0; }
  bool known(const Single& a, const Single& b) const { return known_pairs_.count(keys(a, b)) != 0; }
  // Whether some of three do what all three do; then the others could be left away.
  bool wasteful(const Single& a, const Single& b, const Single& c) const {
    return known(a) || known(b) || known(c) || known(a, b) || known(a, c) || known(b, c);
  }

  void add_pair(const Single& a, const Single& b, std::vector<SlipMade> slips) {
    if (known(a) || known(b)) return;
    {
      const std::lock_guard lock(mutex_);
      known_pairs_.insert(keys(a, b));
    }
    add(a.weight + b.weight, std::move(slips));
  }

  void one() {
    depth_ = 1;
    for (const int how : desk_.holds_) look_up(turned(how), [&](int number) {
      if (of(number).held != how) return;
      alone_.push_back(number);
      members(number, kAny, [&](const Single& single) {
        known_.insert(key(single));
        add(single.weight, told(single));
      });
    });
  }

  void found_two(int earlier, int later) {
    if (alone(earlier) || alone(later)) return;
    members(earlier, kAny, [&](const Single& a) {
      members(later, kAny, [&](const Single& b) {
        if (before(a, earlier, b, later)) add_pair(a, b, told(a, b));
      });
    });
  }

  void two() {
    depth_ = 2;
    const auto& holds = desk_.holds_;
    in_stretches(desk_.classes_.size(), [&](Index j) {
      const int later = static_cast<int>(j);
      std::array<Cube, 24> rest, wanted;
      for (Index h = 0; h < holds.size(); ++h) rest[h] = turned(desk_.rotation_after(holds[h], of(later).held));
      multiply(rest.data(), false, &back(later), true, wanted.data(), holds.size(), path_);
      for (Index h = 0; h < holds.size(); ++h) look_up(wanted[h], [&](int earlier) {
        if (of(earlier).held == holds[h]) found_two(earlier, later);
      });
    });
    for (Index s = 0; s < desk_.splits_.size(); ++s) {
      const Split& split = desk_.splits_[s];
      if (split.single < 0 || !split.plain) continue;
      const Single& outer = desk_.singles_[at(split.single)];
      for (const int how : holds)
        look_up(times(times(split.first_back, turned(how)), split.second_back), [&](int number) {
          if (of(number).held != how || alone(number)) return;
          members(number, kAny, [&](const Single& inner) {
            if (inside(inner, split)) add_pair(outer, inner, told_within(outer, nullptr, {&inner}, nullptr));
          });
        });
    }
    result_.pairs = count_ordered(desk_.singles_.size(), 2);
  }

  static bool inside(const Single& single, const Split& split) {
    return single.start >= split.first_end && single.end <= split.second_start;
  }

  void three() {
    depth_ = 3;
    // As many of the likeliest as are asked for, but never some of those that are equally likely.
    Index n = std::min(options_.triple_singles, desk_.singles_.size());
    const auto weight = [&](Index i) { return desk_.singles_[i].weight; };
    while (n && n < desk_.singles_.size() && weight(n - 1) == weight(n)) --n;
    if (!n) return;
    least_ = weight(n - 1);
    std::vector<int> likely;
    for (Index i = 0; i < desk_.classes_.size() && of(static_cast<int>(i)).weight >= least_; ++i)
      likely.push_back(static_cast<int>(i));
    std::vector<int> turning;
    for (const int number : likely)
      if (of(number).held != 0) turning.push_back(number);
    first_unturned(likely);
    first_turned(likely, turning);
    for (const Split& split : desk_.splits_)
      if (split.single >= 0 && split.plain && desk_.singles_[at(split.single)].weight >= least_)
        within_split(split, likely, turning);
    result_.triples = count_ordered(n, 3);
  }

  void found_three(int first, int middle, int last) {
    if (alone(first) || alone(middle) || alone(last)) return;
    members(middle, least_, [&](const Single& b) {
      members(last, least_, [&](const Single& c) {
        if (!before(b, middle, c, last)) return;
        members(first, least_, [&](const Single& a) {
          if (&a == &c || !before(a, first, b, middle) || wasteful(a, b, c)) return;
          add(a.weight + b.weight + c.weight, told(a, b, c));
        });
      });
    });
  }

  // Triples whose first slip leaves the centres home: T, the last and the middle one taken off, is the first.
  void first_unturned(const std::vector<int>& likely) {
    // The middle ones by how they turn the centres, in the order of their places: those before a last one are a stretch.
    struct Row {
      int held;
      std::vector<int> numbers;
      std::vector<Cube> backs;
    };
    std::vector<Row> rows;
    for (const int how : desk_.holds_) {
      Row row{how, {}, {}};
      for (const int number : likely)
        if (of(number).held == how) row.numbers.push_back(number);
      std::stable_sort(row.numbers.begin(), row.numbers.end(), [&](int a, int b) { return of(a).min_end < of(b).min_end; });
      for (const int number : row.numbers) row.backs.push_back(back(number));
      if (!row.numbers.empty()) rows.push_back(std::move(row));
    }
    in_stretches(likely.size(), [&](Index l) {
      const int last = likely[l];
      std::array<Cube, kBlock> wanted;
      for (const Row& row : rows) {
        const Cube rest = times(turned(desk_.rotation_after(row.held, of(last).held)), back(last));
        const auto stop = std::partition_point(row.numbers.begin(), row.numbers.end(),
                                               [&](int number) { return of(number).min_end <= of(last).max_start; });
        const auto count = static_cast<Index>(stop - row.numbers.begin());
        for (Index done = 0; done < count; done += kBlock) {
          const Index size = std::min(kBlock, count - done);
          multiply(&rest, true, &row.backs[done], false, wanted.data(), size, path_);
          for (Index k = 0; k < size; ++k) look_up(wanted[k], [&](int first) {
            if (of(first).held == 0) found_three(first, row.numbers[done + k], last);
          });
        }
      }
    });
  }

  // Triples whose first slip turns the centres, which few do.
  void first_turned(const std::vector<int>& likely, const std::vector<int>& turning) {
    in_stretches(turning.size(), [&](Index f) {
      const int first = turning[f];
      std::array<Cube, 24> begun;
      multiply(&back(first), true, turned_.data(), false, begun.data(), 24, path_);
      // If the middle one does not: T, the first and the last one taken off, is the middle.
      for (const int last : likely) {
        if (of(first).min_end > of(last).max_start) continue;
        const Cube& rest = begun[at(desk_.rotation_after(of(first).held, of(last).held))];
        look_up(times(rest, back(last)), [&](int middle) {
          if (of(middle).held == 0) found_three(first, middle, last);
        });
      }
      // If it does too: T, the first and the middle one taken off, is the last.
      for (const int middle : turning) {
        if (of(first).min_end > of(middle).max_start) continue;
        const int both = desk_.rotation_after(of(first).held, of(middle).held);
        for (const int how : desk_.holds_)
          look_up(times(back(middle), begun[at(desk_.rotation_after(both, how))]), [&](int last) {
            if (of(last).held == how) found_three(first, middle, last);
          });
      }
    });
  }

  // Triples of a split slip a … b and two others, of which at least one lies between its parts.
  void within_split(const Split& split, const std::vector<int>& likely, const std::vector<int>& turning) {
    const Single& outer = desk_.singles_[at(split.single)];
    std::array<Cube, 24> begun, ended, both;  // T without a, without b, without either
    multiply(&split.first_back, true, turned_.data(), false, begun.data(), 24, path_);
    multiply(turned_.data(), false, &split.second_back, true, ended.data(), 24, path_);
    multiply(begun.data(), false, &split.second_back, true, both.data(), 24, path_);
    const auto may_lie_inside = [&](int number) {
      return of(number).max_start >= split.first_end && of(number).min_end <= split.second_start;
    };
    const auto may_lie_behind = [&](int number) { return of(number).max_start >= outer.end; };
    const auto may_lie_before = [&](int number) { return of(number).min_end <= outer.start; };
    // x always lies inside.
    const auto every = [&](int x_class, int y_class, const auto& use) {
      if (alone(x_class) || alone(y_class)) return;
      members(x_class, least_, [&](const Single& x) {
        if (!inside(x, split)) return;
        members(y_class, least_, [&](const Single& y) {
          if (&x == &y) return;
          std::vector<SlipMade> slips = use(x, y);
          if (!slips.empty() && !wasteful(outer, x, y)) add(outer.weight + x.weight + y.weight, std::move(slips));
        });
      });
    };
    using Slips = std::vector<SlipMade>;
    const auto inside_too = [&](int x_class, int y_class) {
      every(x_class, y_class, [&](const Single& x, const Single& y) {
        const bool fits = inside(y, split) && before(x, x_class, y, y_class);
        return fits ? told_within(outer, nullptr, {&x, &y}, nullptr) : Slips();
      });
    };
    const auto behind = [&](int x_class, int y_class) {
      every(x_class, y_class, [&](const Single& x, const Single& y) {
        return y.start >= outer.end ? told_within(outer, nullptr, {&x}, &y) : Slips();
      });
    };
    const auto ahead = [&](int x_class, int y_class) {
      every(x_class, y_class, [&](const Single& x, const Single& y) {
        return y.end <= outer.start ? told_within(outer, &y, {&x}, nullptr) : Slips();
      });
    };
    // Where x leaves the centres home it is looked up, for every y.
    in_stretches(likely.size(), [&](Index other) {
      const int y = likely[other];
      const auto look = [&](const Cube& wanted, const auto& use) {
        look_up(wanted, [&](int x) {
          if (of(x).held == 0) use(x, y);
        });
      };
      const Index how = at(of(y).held);
      if (may_lie_inside(y)) look(times(both[how], back(y)), inside_too);
      if (may_lie_behind(y)) look(times(times(begun[how], back(y)), split.second_back), behind);
      if (may_lie_before(y)) look(times(times(split.first_back, back(y)), ended[how]), ahead);
    });
    // Where it does not, y is.
    in_stretches(turning.size(), [&](Index inner) {
      const int x = turning[inner];
      if (!may_lie_inside(x)) return;
      const Cube off_front = times(back(x), split.first_back), off_end = times(split.second_back, back(x));
      const Cube all = times(split.second_back, off_front), all_before = times(off_end, split.first_back);
      for (const int how : desk_.holds_) {
        const auto look = [&](const Cube& wanted, const auto& use) {
          look_up(wanted, [&](int y) {
            if (of(y).held == how) use(x, y);
          });
        };
        const Cube& late = turned(desk_.rotation_after(of(x).held, how));
        const Cube& early = turned(desk_.rotation_after(how, of(x).held));
        look(times(times(off_front, late), split.second_back), inside_too);
        look(times(all, late), behind);
        look(times(early, all_before), ahead);
      }
    });
  }

  // How many ordered pairs or triples of the likeliest slips there are, each behind the one before.
  std::uint64_t count_ordered(Index n, int slips) const {
    int most = 0;
    for (Index i = 0; i < n; ++i) most = std::max(most, desk_.singles_[i].end);
    std::vector<std::uint64_t> ended(at(most) + 2, 0), starting(at(most) + 2, 0);
    for (Index i = 0; i < n; ++i) {
      ++ended[at(desk_.singles_[i].end)];
      ++starting[at(desk_.singles_[i].start)];
    }
    for (Index t = 1; t < ended.size(); ++t) ended[t] += ended[t - 1];
    for (Index t = starting.size() - 1; t-- > 0;) starting[t] += starting[t + 1];
    std::uint64_t total = 0;
    for (Index i = 0; i < n; ++i) {
      const std::uint64_t earlier = ended[at(desk_.singles_[i].start)];
      total += slips == 2 ? earlier : earlier * starting[at(desk_.singles_[i].end)];
    }
    return total;
  }

  // Of no slip, every slip and, where two may be combined, the best few with every other: what comes nearest.
  void nearest() {
    constexpr Index kBest = 64;
    const Cube home = identity();
    result_.nearest_wrong = wrong_pieces(home, target_);
    result_.nearest = {0.0f, {}};
    if (options_.most_slips < 1) return;
    const auto better = [&](int wrong, float weight) {
      return wrong < result_.nearest_wrong ||
             (wrong == result_.nearest_wrong && !result_.nearest.slips.empty() && weight > result_.nearest.weight);
    };
    std::vector<std::pair<int, int>> ranked;
    for (Index i = 0; i < desk_.classes_.size(); ++i) {
      const int number = static_cast<int>(i);
      const int wrong = wrong_pieces(times(effect(number), inverse(desk_.rotations_[at(of(number).held)])), target_);
      ranked.emplace_back(wrong, number);
      if (!better(wrong, of(number).weight)) continue;
      result_.nearest_wrong = wrong;
      result_.nearest = {of(number).weight, told(desk_.singles_[at(of(number).first)])};
    }
    if (options_.most_slips < 2) return;
    const Index kept = std::min(kBest, ranked.size());
    std::partial_sort(ranked.begin(), ranked.begin() + static_cast<std::ptrdiff_t>(kept), ranked.end());
    // A second slip is worth telling only if it helps by more than one piece.
    int least = result_.nearest_wrong - 1;
    for (Index k = 0; k < kept; ++k)
      for (Index j = 0; j < desk_.classes_.size(); ++j)
        for (const bool swapped : {false, true}) {
          const int a = swapped ? static_cast<int>(j) : ranked[k].second;
          const int b = swapped ? ranked[k].second : static_cast<int>(j);
          const Single& one = desk_.singles_[at(of(a).first)];
          const Single& other = desk_.singles_[at(of(b).first)];
          if (!before(one, a, other, b)) continue;
          const Cube both = times(effect(a), effect(b));
          const int how = desk_.rotation_after(of(a).held, of(b).held);
          const int wrong = wrong_pieces(times(both, inverse(desk_.rotations_[at(how)])), target_);
          if (wrong >= least) continue;
          least = result_.nearest_wrong = wrong;
          result_.nearest = {one.weight + other.weight, told(one, other)};
        }
  }

  template <class Work>
  void in_stretches(Index count, const Work& work) {
    std::atomic<Index> next{0};
    const auto labour = [&] {
      for (Index from = next.fetch_add(16); from < count && !watch_.stop; from = next.fetch_add(16))
        for (Index i = from; i < std::min(count, from + 16); ++i) work(i);
    };
    std::vector<std::thread> crew;
    for (int i = 1; i < options_.threads; ++i) crew.emplace_back(labour);
    // The calling thread works too, and looks up now and then whether to stop.
    for (Index from = next.fetch_add(16); from < count && !watch_.stop; from = next.fetch_add(16)) {
      for (Index i = from; i < std::min(count, from + 16); ++i) work(i);
      if (watch_.poll && from % 256 == 0 && !watch_.poll(depth_, from)) watch_.stop = true;
    }
    for (std::thread& hand : crew) hand.join();
    if (watch_.stop) throw Stopped();
  }

  static constexpr float kAny = -1e30f;

  const InquestDesk& desk_;
  const Cube target_;
  const InquestOptions options_;
  Watch& watch_;
  const Path path_ = best_path();
  std::vector<Cube> turned_;  // the target turned as a whole in each way
  float least_ = kAny;
  int depth_ = 0;  // how many slips are being combined
  std::vector<int> alone_;      // the classes that explain the cube by themselves
  std::set<Key> known_;         // their slips
  std::set<Keys> known_pairs_;  // and the pairs of slips that do
  std::mutex mutex_;
  InquestResult result_;
};

InquestResult InquestDesk::search(const Cube& target, const InquestOptions& options, Watch& watch) const {
  return Search(*this, target, options, watch).run();
}

}  // namespace nightfold
