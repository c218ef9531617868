#include "marking.hpp"

#include <algorithm>
#include <bit>
#include <queue>
#include <unordered_map>

namespace nightfold {

namespace {

constexpr int kNowhere = 31;

// A moment of tracing, and how much of the memo has been read.
struct Moment {
  int read = 0;
  int eye = kNowhere;    // the place looked at next; nowhere at a break
  int entry = kNowhere;  // the sticker its cycle was entered at
  std::uint32_t passed = 0;

  std::uint64_t key() const {
    return static_cast<std::uint64_t>(read) << 24 | static_cast<std::uint64_t>(eye) << 17 |
           static_cast<std::uint64_t>(entry) << 12 | passed;
  }
};

struct Link {
  Moment before;
  Step step;
  int cost;
};

class Search {
 public:
  Search(const TracedOrbit& orbit, const std::vector<std::uint8_t>& memo, const std::array<int, kSlips>& weights,
         bool strict, int most_cost)
      : o_(orbit), memo_(memo), w_(weights), strict_(strict), most_cost_(most_cost) {
    count_ = static_cast<int>(orbit.seen.size());
    buffer_piece_ = orbit.piece[static_cast<std::size_t>(orbit.buffer)];
    for (int s = 0; s < count_; ++s)
      if (piece(s) != buffer_piece_ && seen(s) != s) unsolved_ |= 1u << s;
  }

  Marked run(std::size_t most_states) {
    Moment start = settled({0, o_.buffer, o_.buffer, 0});
    reach(start, start, {Slip::none, -1, 0, {}}, 0);
    while (!open_.empty()) {
      const auto [cost, key] = open_.top();
      open_.pop();
      const auto found = best_.find(key);
      if (cost != found->second.cost) continue;
      const Moment now = at_.at(key);
      if (is_end(now)) return told(now);
      if (best_.size() > most_states) break;
      spread(now, cost);
    }
    Marked none;
    none.gave_up = true;
    return none;
  }

 private:
  int seen(int place) const { return o_.seen[static_cast<std::size_t>(place)]; }
  int piece(int sticker) const { return o_.piece[static_cast<std::size_t>(sticker)]; }
  int length() const { return static_cast<int>(memo_.size()); }
  int letter(int at) const { return memo_[static_cast<std::size_t>(at)]; }
  int weight(Slip slip) const { return w_[static_cast<std::size_t>(slip)]; }

  std::uint32_t options(const Moment& m) const {
    std::uint32_t open = 0;
    for (std::uint32_t left = unsolved_; left; left &= left - 1) {
      const int s = std::countr_zero(left);
      if (!(m.passed >> piece(s) & 1)) open |= 1u << s;
    }
    return open;
  }

  bool is_end(const Moment& m) const { return m.eye == kNowhere && m.read == length() && !options(m); }

  // The eye comes to rest: it stays on a place whose sticker asks for a letter, or the cycle is over.
  Moment settled(Moment m) const {
    if (m.eye == kNowhere) return m;
    const int target = piece(seen(m.eye));
    const bool closing = target == piece(m.entry) && target != buffer_piece_;
    if (!closing && (target == buffer_piece_ || (m.passed >> target & 1))) m.eye = m.entry = kNowhere;
    return m;
  }

  bool closes(const Moment& m) const { return piece(seen(m.eye)) == piece(m.entry); }

  Moment named(Moment m, int sticker, bool closing) const {
    if (closing) {
      m.eye = m.entry = kNowhere;
      return m;
    }
    m.eye = sticker;
    m.passed |= 1u << piece(sticker);
    return settled(m);
  }

  Moment entered(Moment m, int sticker) const {
    m.entry = sticker;
    return named(m, sticker, false);
  }

  // The moment after one right letter, if it is one.
  bool follow(Moment& m, int sticker) const {
    if (m.eye == kNowhere) {
      if (!(options(m) >> sticker & 1)) return false;
      m = entered(m, sticker);
      return true;
    }
    if (seen(m.eye) != sticker) return false;
    m = named(m, sticker, closes(m));
    return true;
  }

  std::uint32_t expected(const Moment& m) const { return m.eye == kNowhere ? options(m) : 1u << seen(m.eye); }

  // The letters that lead from here to the end of the open cycle.
  std::vector<std::uint8_t> rest_of_cycle(Moment m, std::uint32_t* passed) const {
    std::vector<std::uint8_t> letters;
    for (int guard = 0; m.eye != kNowhere && guard < 64; ++guard) {
      const int sticker = seen(m.eye);
      letters.push_back(static_cast<std::uint8_t>(sticker));
      m = named(m, sticker, closes(m));
    }
    *passed = m.passed;
    return letters;
  }

  void reach(const Moment& to, const Moment& from, Step step, int cost) {
    if (cost > most_cost_) return;
    const std::uint64_t key = to.key();
    const auto found = best_.find(key);
    if (found != best_.end() && found->second.cost <= cost) return;
    best_.insert_or_assign(key, Link{from, std::move(step), cost});
    at_.insert_or_assign(key, to);
    open_.emplace(cost, key);
  }

  void spread(const Moment& m, int cost) {
    const std::uint32_t wanted = expected(m);
    const bool more = m.read < length();
    const int x = more ? letter(m.read) : -1;
    const auto go = [&](Moment to, Slip slip, std::vector<std::uint8_t> right, int add = 0) {
      reach(to, m, {slip, m.read, wanted, std::move(right)}, cost + weight(slip) + add);
    };
    const auto as_letter = [](int sticker) { return std::vector<std::uint8_t>{static_cast<std::uint8_t>(sticker)}; };

    if (more) {
      Moment next = m;
      next.read = m.read + 1;
      const Moment consumed = next;
      if (follow(next, x)) {
        go(next, Slip::none, as_letter(x));
      } else if (m.eye == kNowhere && !wanted) {
        Moment end = m;
        end.read = length();
        go(end, Slip::too_long, {}, std::max(0, length() - m.read - 2));
      } else {
        substitute(m, consumed, x, wanted, go, as_letter);
      }
      // A letter with no business here; it changes nothing.
      const bool twice = m.read > 0 && x == letter(m.read - 1);
      go(consumed, twice ? Slip::doubled : Slip::extra, {});
      exchanges(m, go);
    }
    leave_out(m, wanted, go, as_letter);
    if (!more) {
      Moment end = m;
      end.eye = end.entry = kNowhere;
      end.passed = ~0u >> 20;
      go(end, Slip::stopped_early, everything_left(m));
    }
  }

  template <class Go, class AsLetter>
  void substitute(const Moment& m, const Moment& consumed, int x, std::uint32_t wanted, const Go& go,
                  const AsLetter& as_letter) {
    if (m.eye == kNowhere) {
      // Broke into something that needs nothing (any more), and perhaps traced on from there.
      if (!strict_ && piece(x) != buffer_piece_) {
        Moment on = consumed;
        // Its whole cycle is walked again, whatever was passed of it.
        int place = x;
        do {
          on.passed &= ~(1u << piece(place));
          place = seen(place);
        } while (piece(place) != piece(x));
        on = entered(on, x);
        go(on, Slip::broke_wrongly, {});
      }
      for (std::uint32_t left = wanted; left; left &= left - 1) {
        const int sticker = std::countr_zero(left);
        const Slip slip = o_.beside[static_cast<std::size_t>(sticker)] >> x & 1 ? Slip::beside : Slip::wrong;
        go(entered(consumed, sticker), slip, as_letter(sticker), 1);
      }
      return;
    }
    const int target = seen(m.eye);
    const bool closing = closes(m);
    const Slip slip = piece(x) == piece(target)                                        ? Slip::other_sticker
                      : o_.beside[static_cast<std::size_t>(target)] >> x & 1 ? Slip::beside
                                                                             : Slip::wrong;
    go(named(consumed, target, closing), slip, as_letter(target));
    if (!strict_ && !closing && piece(x) != buffer_piece_) {
      if (piece(x) == piece(m.entry)) {
        // Wrote the closing letter before its time, and what lay between is lost.
        std::uint32_t passed = 0;
        std::vector<std::uint8_t> rest = rest_of_cycle(m, &passed);
        Moment over = consumed;
        over.eye = over.entry = kNowhere;
        go(over, Slip::closed_early, rest);
        over.passed = passed;
        go(over, Slip::closed_early, rest);
      } else {
        Moment on = consumed;
        on.eye = x;
        on.passed |= 1u << piece(x);
        go(settled(on), slip, as_letter(target));
      }
    }
  }

  template <class Go>
  void exchanges(const Moment& m, const Go& go) {
    const auto try_order = [&](Slip slip, std::initializer_list<int> order) {
      Moment to = m;
      std::vector<std::uint8_t> right;
      for (const int ahead : order) {
        if (!follow(to, letter(m.read + ahead))) return;
        right.push_back(static_cast<std::uint8_t>(letter(m.read + ahead)));
      }
      to.read = m.read + static_cast<int>(order.size());
      go(to, slip, right);
    };
    if (m.read + 1 < length() && letter(m.read) != letter(m.read + 1)) try_order(Slip::exchanged, {1, 0});
    if (m.read % 2 == 0 && m.read + 3 < length()) try_order(Slip::pairs_exchanged, {2, 3, 0, 1});
  }

  template <class Go, class AsLetter>
  void leave_out(const Moment& m, std::uint32_t wanted, const Go& go, const AsLetter& as_letter) {
    if (m.eye != kNowhere) {
      const int target = seen(m.eye);
      const bool closing = closes(m);
      go(named(m, target, closing), closing ? Slip::unclosed : Slip::left_out, as_letter(target));
      std::uint32_t passed = 0;
      const std::vector<std::uint8_t> rest = rest_of_cycle(m, &passed);
      if (rest.size() > 1) {
        Moment over = m;
        over.eye = over.entry = kNowhere;
        over.passed = passed;
        go(over, Slip::closed_early, rest);
        if (!strict_) {
          over.passed = m.passed;
          go(over, Slip::closed_early, rest);
        }
      }
      return;
    }
    std::uint32_t told = 0;
    for (std::uint32_t left = wanted; left; left &= left - 1) {
      const int sticker = std::countr_zero(left);
      go(entered(m, sticker), Slip::left_out, as_letter(sticker), 1);
      // Forgetting a whole cycle, told once a cycle.
      if (told >> piece(sticker) & 1) continue;
      std::uint32_t passed = 0;
      std::vector<std::uint8_t> rest = rest_of_cycle(entered(m, sticker), &passed);
      told |= passed;
      rest.insert(rest.begin(), static_cast<std::uint8_t>(sticker));
      Moment over = m;
      over.passed = passed;
      go(over, std::popcount(passed & ~m.passed) == 1 ? Slip::missed_turned : Slip::missed_cycle, rest);
    }
  }

  std::vector<std::uint8_t> everything_left(Moment m) const {
    std::uint32_t passed = 0;
    std::vector<std::uint8_t> letters = rest_of_cycle(m, &passed);
    m.passed = passed | m.passed;
    m.eye = m.entry = kNowhere;
    while (const std::uint32_t open = options(m)) {
      const int sticker = std::countr_zero(open);
      letters.push_back(static_cast<std::uint8_t>(sticker));
      const std::vector<std::uint8_t> rest = rest_of_cycle(entered(m, sticker), &passed);
      letters.insert(letters.end(), rest.begin(), rest.end());
      m.passed = passed;
    }
    return letters;
  }

  Marked told(Moment m) const {
    Marked result;
    result.cost = best_.at(m.key()).cost;
    for (;;) {
      const Link& link = best_.at(m.key());
      if (link.step.at < 0) break;
      result.steps.push_back(link.step);
      m = link.before;
    }
    std::reverse(result.steps.begin(), result.steps.end());
    return result;
  }

  const TracedOrbit& o_;
  const std::vector<std::uint8_t>& memo_;
  const std::array<int, kSlips>& w_;
  bool strict_;
  int most_cost_;
  int count_ = 0;
  int buffer_piece_ = 0;
  std::uint32_t unsolved_ = 0;
  std::unordered_map<std::uint64_t, Link> best_;
  std::unordered_map<std::uint64_t, Moment> at_;
  using Open = std::pair<int, std::uint64_t>;
  std::priority_queue<Open, std::vector<Open>, std::greater<>> open_;
};

}  // namespace

Marked mark(const TracedOrbit& orbit, const std::vector<std::uint8_t>& memo, const std::array<int, kSlips>& weights,
            bool strict, int most_cost, std::size_t most_states) {
  return Search(orbit, memo, weights, strict, most_cost).run(most_states);
}

}  // namespace nightfold
