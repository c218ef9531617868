#include "inquest.hpp"

#include <algorithm>
#include <mutex>
#include <thread>

namespace nightfold {

namespace {

// Only what tells states apart: a cheap fingerprint, since every hit is compared in full.
inline std::uint64_t quick_print(const Cube& a) {
  std::uint64_t e, f, c;
  std::memcpy(&e, a.at.data(), 8);
  std::memcpy(&f, a.at.data() + 8, 4 + 4);
  std::memcpy(&c, a.at.data() + kCornerAt, 8);
  std::uint64_t h = (e ^ (f * 0x9e3779b97f4a7c15ull)) * 0xff51afd7ed558ccdull;
  h = (h ^ (h >> 32) ^ c) * 0xc4ceb9fe1a85ec53ull;
  return h ^ (h >> 29);
}

struct Single {
  Cube effect, back;
  SlipMade slip;
  int start, end;
  float weight;
  int held;  // which rotation its centres are
};

class Desk {
 public:
  Desk(const Inquest& q, const Cube& target) : q_(q), target_(target) {
    make_singles();
    make_index();
  }

  InquestResult run(int most_slips, std::size_t most, std::size_t triple_singles, int threads, Watch& watch) {
    most_ = most;
    watch_ = &watch;
    result_.singles = singles_.size();
    if (target_ == identity()) add(0.0f, {});
    nearest();
    if (most_slips >= 1) one();
    if (most_slips >= 2) two(threads);
    if (most_slips >= 3) three(triple_singles, threads);
    std::sort(result_.explanations.begin(), result_.explanations.end(), [](const Explanation& a, const Explanation& b) {
      if (a.weight != b.weight) return a.weight > b.weight;
      return key(a) < key(b);
    });
    if (result_.explanations.size() > most) result_.explanations.resize(most);
    return std::move(result_);
  }

 private:
  static std::vector<int> key(const Explanation& e) {
    std::vector<int> numbers;
    for (const SlipMade& s : e.slips) numbers.insert(numbers.end(), {s.kind, s.place, s.number});
    return numbers;
  }

  static Cube times(const Cube& a, const Cube& b) { return product_scalar(a, b); }

  int held(const Cube& cube) const {
    for (std::size_t r = 0; r < q_.rotations.size(); ++r)
      if (std::equal(cube.at.begin() + kCentreAt, cube.at.begin() + kCentreAt + kCentres, q_.rotations[r].at.begin() + kCentreAt))
        return static_cast<int>(r);
    return -1;
  }

  void take(const Cube& effect, SlipMade slip, int start, int end, float weight) {
    if (effect == identity()) return;  // it changes nothing, so nothing can tell it was made
    const int how = held(effect);
    if (how < 0) return;
    singles_.push_back({effect, inverse(effect), slip, start, end, weight, how});
  }

  void make_singles() {
    const int n = static_cast<int>(q_.meant.size());
    std::vector<Cube> after(static_cast<std::size_t>(n) + 1), back(after.size());
    after.back() = identity();
    for (int t = n - 1; t >= 0; --t)
      after[static_cast<std::size_t>(t)] =
          times(q_.turns[q_.meant[static_cast<std::size_t>(t)]], after[static_cast<std::size_t>(t) + 1]);
    for (std::size_t t = 0; t < after.size(); ++t) back[t] = inverse(after[t]);
    // The element of replacing the turns start..end-1 by `made`: undo all from start on, then do it the new way.
    const auto seen_from_end = [&](int start, int end, const Cube& made) {
      return times(back[static_cast<std::size_t>(start)], times(made, after[static_cast<std::size_t>(end)]));
    };
    for (std::size_t e = 0; e < q_.edits.size(); ++e) {
      const SlipEdit& edit = q_.edits[e];
      Cube made = identity();
      for (const std::uint8_t turn : edit.turns) made = times(made, q_.turns[turn]);
      take(seen_from_end(edit.start, edit.end, made), {0, edit.start, static_cast<int>(e)}, edit.start, edit.end, edit.weight);
    }
    for (int t = 0; t < n; ++t) {
      const auto& choices = q_.alternatives[q_.meant[static_cast<std::size_t>(t)]];
      for (std::size_t a = 0; a < choices.size(); ++a) {
        const Cube made = choices[a].turn < 0 ? identity() : q_.turns[static_cast<std::size_t>(choices[a].turn)];
        take(seen_from_end(t, t + 1, made), {1, t, static_cast<int>(a)}, t, t + 1,
             choices[a].weight + q_.place_weight[static_cast<std::size_t>(t)]);
      }
    }
    for (int t = 0; t <= n; ++t)
      for (std::size_t s = 0; s < q_.strays.size(); ++s)
        take(seen_from_end(t, t, q_.turns[static_cast<std::size_t>(q_.strays[s].turn)]), {2, t, static_cast<int>(s)}, t, t,
             q_.strays[s].weight);
    // The likeliest first, so that a search over some of them takes the best.
    std::stable_sort(singles_.begin(), singles_.end(), [](const Single& a, const Single& b) { return a.weight > b.weight; });
  }

  void make_index() {
    bits_ = 4;
    while ((std::size_t{1} << bits_) < singles_.size() * 2) ++bits_;
    first_.assign(std::size_t{1} << bits_, -1);
    next_.assign(singles_.size(), -1);
    filter_.assign(std::size_t{1} << (bits_ - 4 + 4), 0);
    for (std::size_t i = singles_.size(); i-- > 0;) {
      const std::uint64_t print = quick_print(singles_[i].effect);
      std::int32_t& head = first_[print >> (64 - bits_)];
      next_[i] = head;
      head = static_cast<std::int32_t>(i);
      mark(print);
      const int how = singles_[i].held;
      if (std::find(holds_.begin(), holds_.end(), how) == holds_.end()) holds_.push_back(how);
    }
  }

  // A filter of 64 bits a bucket: most lookups end here.
  void mark(std::uint64_t print) { filter_[print >> (64 - bits_)] |= std::uint64_t{1} << (print & 63); }
  bool may_be(std::uint64_t print) const { return filter_[print >> (64 - bits_)] >> (print & 63) & 1; }

  template <class Use>
  void look_up(const Cube& wanted, const Use& use) const {
    const std::uint64_t print = quick_print(wanted);
    if (!may_be(print)) return;
    for (std::int32_t i = first_[print >> (64 - bits_)]; i >= 0; i = next_[static_cast<std::size_t>(i)])
      if (singles_[static_cast<std::size_t>(i)].effect == wanted) use(singles_[static_cast<std::size_t>(i)]);
  }

  const Cube& rotation(int how) const { return q_.rotations[static_cast<std::size_t>(how)]; }

  void add(float weight, std::vector<SlipMade> slips) {
    const std::lock_guard lock(mutex_);
    result_.explanations.push_back({weight, std::move(slips)});
    if (result_.explanations.size() >= 8 * most_ + 1024) {
      std::nth_element(result_.explanations.begin(), result_.explanations.begin() + static_cast<std::ptrdiff_t>(most_),
                       result_.explanations.end(),
                       [](const Explanation& a, const Explanation& b) { return a.weight > b.weight; });
      result_.explanations.resize(most_);
    }
  }

  static int wrong_pieces(const Cube& a, const Cube& b) {
    int wrong = 0;
    for (std::size_t i = 0; i < kEdges; ++i) wrong += a.at[i] != b.at[i];
    for (std::size_t i = kCornerAt; i < kCornerAt + kCorners; ++i) wrong += a.at[i] != b.at[i];
    return wrong;
  }

  void nearest() {
    result_.nearest_wrong = wrong_pieces(identity(), target_);
    result_.nearest = {0.0f, {}};
    for (const Single& s : singles_) {
      const int wrong = wrong_pieces(times(s.effect, inverse(rotation(s.held))), target_);
      if (wrong < result_.nearest_wrong) {
        result_.nearest_wrong = wrong;
        result_.nearest = {s.weight, {s.slip}};
      }
    }
  }

  void one() {
    for (const int how : holds_)
      look_up(times(target_, rotation(how)), [&](const Single& s) { add(s.weight, {s.slip}); });
  }

  void two(int threads) {
    const std::size_t n = singles_.size();
    in_stretches(n, threads, [&](std::size_t j) {
      const Single& later = singles_[j];
      for (const int how : holds_) {
        // The product's centres are those of the earlier, then of the later.
        const Cube turned = times(rotation(how), rotation(later.held));
        look_up(times(times(target_, turned), later.back), [&](const Single& earlier) {
          if (before(earlier, later)) add(earlier.weight + later.weight, {earlier.slip, later.slip});
        });
      }
    });
    result_.pairs = n * (n - 1) / 2;
  }

  void three(std::size_t limit, int threads) {
    const std::size_t n = std::min(limit, singles_.size());
    // In the order of places, the middle ones of each last one are a stretch.
    std::vector<const Single*> by_start;
    for (std::size_t i = 0; i < n; ++i) by_start.push_back(&singles_[i]);
    std::stable_sort(by_start.begin(), by_start.end(), [](const Single* a, const Single* b) { return a->end < b->end; });
    std::atomic<std::uint64_t> covered{0};
    in_stretches(n, threads, [&](std::size_t l) {
      const Single& last = *by_start[l];
      std::uint64_t tried = 0;
      const Cube rest = times(times(target_, rotation(last.held)), last.back);
      for (const Single* middle : by_start) {
        if (middle->end > last.start) break;
        if (!before(*middle, last)) continue;
        ++tried;
        Cube wanted;
        if (middle->held == 0) {
          wanted = times(rest, middle->back);
        } else {
          const Cube turned = times(rotation(middle->held), rotation(last.held));
          wanted = times(times(times(target_, turned), last.back), middle->back);
        }
        // The first of the three is one that leaves the centres home; see below for those that do not.
        look_up(wanted, [&](const Single& first) {
          if (before(first, *middle)) add(first.weight + middle->weight + last.weight, {first.slip, middle->slip, last.slip});
        });
      }
      covered += tried;
    });
    // First slips that turn the centres are few: go over them and the last ones, and look the middle up.
    std::vector<const Single*> turning;
    for (std::size_t i = 0; i < n; ++i)
      if (singles_[i].held != 0) turning.push_back(&singles_[i]);
    in_stretches(turning.size(), threads, [&](std::size_t f) {
      const Single& first = *turning[f];
      const Cube begun = times(first.back, target_);
      for (const Single* last : by_start) {
        if (first.end > last->start) continue;
        const Cube turned = times(rotation(first.held), rotation(last->held));
        look_up(times(times(begun, turned), last->back), [&](const Single& middle) {
          if (before(first, middle) && before(middle, *last))
            add(first.weight + middle.weight + last->weight, {first.slip, middle.slip, last->slip});
        });
      }
    });
    result_.triples = covered * (n ? 1 : 0);
  }

  static bool before(const Single& a, const Single& b) {
    if (a.end > b.start) return false;
    // Two stray turns at one place: one order is enough.
    return !(a.start == b.start && a.end == b.end && a.start == a.end && a.slip.number >= b.slip.number);
  }

  template <class Work>
  void in_stretches(std::size_t count, int threads, const Work& work) {
    std::atomic<std::size_t> next{0};
    const auto labour = [&] {
      for (std::size_t at = next.fetch_add(16); at < count && !watch_->stop; at = next.fetch_add(16))
        for (std::size_t i = at; i < std::min(count, at + 16); ++i) work(i);
    };
    std::vector<std::thread> crew;
    for (int i = 1; i < threads; ++i) crew.emplace_back(labour);
    // The calling thread works too, and looks up now and then whether to stop.
    for (std::size_t at = next.fetch_add(16); at < count && !watch_->stop; at = next.fetch_add(16)) {
      for (std::size_t i = at; i < std::min(count, at + 16); ++i) work(i);
      if (watch_->poll && at % 256 == 0 && !watch_->poll(0, at)) watch_->stop = true;
    }
    for (std::thread& hand : crew) hand.join();
    if (watch_->stop) throw Stopped();
  }

  const Inquest& q_;
  Cube target_;
  std::vector<Single> singles_;
  int bits_ = 0;
  std::vector<std::int32_t> first_, next_;
  std::vector<std::uint64_t> filter_;
  std::vector<int> holds_;
  std::size_t most_ = 0;
  Watch* watch_ = nullptr;
  std::mutex mutex_;
  InquestResult result_;
};

}  // namespace

InquestResult inquire(const Inquest& question, const Cube& target, int most_slips, std::size_t most_explanations,
                      std::size_t triple_singles, int threads, Watch& watch) {
  return Desk(question, target).run(most_slips, most_explanations, triple_singles, threads, watch);
}

}  // namespace nightfold
