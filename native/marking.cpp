#include "marking.hpp"

#include <algorithm>
#include <bit>
#include <cstdlib>
#include <functional>
#include <queue>

namespace nightfold {

namespace {

constexpr std::uint8_t kNowhere = 31;
constexpr std::uint16_t kAllPassed = 0xFFF;

// A moment of tracing, and how much of the memo has been read.
struct Moment {
  std::uint8_t read = 0;
  std::uint8_t eye = kNowhere;    // the place looked at next; nowhere at a break
  std::uint8_t entry = kNowhere;  // the sticker its cycle was entered at
  std::uint16_t passed = 0;       // the pieces passed, a bit each

  // 7 bits for up to 100 letters, 5 and 5 for stickers, 12 for pieces.
  std::uint32_t key() const {
    return static_cast<std::uint32_t>(read) << 22 | static_cast<std::uint32_t>(eye) << 17 |
           static_cast<std::uint32_t>(entry) << 12 | passed;
  }
};

// --- tracing, as a learner does it -----------------------------------------------------------------------------

class Tracing {
 public:
  explicit Tracing(const TracedOrbit& orbit) : o_(orbit) {
    buffer_piece_ = piece(orbit.buffer);
    const int count = static_cast<int>(orbit.seen.size());
    for (int s = 0; s < count; ++s) {
      std::uint16_t cycle = 0;
      int place = s;
      do {
        cycle |= bit(piece(place));
        place = seen(place);
      } while (piece(place) != piece(s));
      cycle_[static_cast<std::size_t>(piece(s))] = cycle;
      if (piece(s) == buffer_piece_ || seen(s) == s) continue;
      unsolved_ |= 1u << s;
      pieces_ |= bit(piece(s));
    }
    for (int p = 0; p < 12; ++p)
      if (pieces_ >> p & 1 && p != buffer_piece_ && !(cycle_of(p) >> buffer_piece_ & 1) &&
          std::countr_zero(cycle_of(p)) == p)
        leaders_ |= bit(p);
  }

  int seen(int place) const { return o_.seen[static_cast<std::size_t>(place)]; }
  int piece(int sticker) const { return o_.piece[static_cast<std::size_t>(sticker)]; }
  bool on_buffer(int sticker) const { return piece(sticker) == buffer_piece_; }
  bool beside(int sticker, int x) const { return o_.beside[static_cast<std::size_t>(sticker)] >> x & 1; }
  bool in_place(int sticker) const { return cycle_of(piece(sticker)) == bit(piece(sticker)); }
  static std::uint16_t bit(int piece) { return static_cast<std::uint16_t>(1u << piece); }

  Moment start() const {
    Moment m;
    m.eye = m.entry = static_cast<std::uint8_t>(o_.buffer);
    return settled(m);
  }

  // The unsolved stickers of pieces not passed: where one may break into.
  std::uint32_t options(const Moment& m) const {
    std::uint32_t open = 0;
    for (std::uint32_t left = unsolved_; left; left &= left - 1) {
      const int s = std::countr_zero(left);
      if (!(m.passed >> piece(s) & 1)) open |= 1u << s;
    }
    return open;
  }

  std::uint32_t expected(const Moment& m) const { return m.eye == kNowhere ? options(m) : 1u << seen(m.eye); }
  bool closes(const Moment& m) const { return piece(seen(m.eye)) == piece(m.entry); }
  bool at_buffer(const Moment& m) const { return m.eye == o_.buffer && m.entry == o_.buffer; }

  static Moment ended(Moment m) {
    m.eye = m.entry = kNowhere;
    return m;
  }

  // The eye comes to rest: it stays on a place whose sticker asks for a letter, or the cycle is over.
  Moment settled(const Moment& m) const {
    if (m.eye == kNowhere) return m;
    const int target = piece(seen(m.eye));
    const bool closing = target == piece(m.entry) && target != buffer_piece_;
    return !closing && (target == buffer_piece_ || (m.passed >> target & 1)) ? ended(m) : m;
  }

  // After `sticker` was named: the eye goes there, or the cycle is closed.
  Moment named(Moment m, int sticker, bool closing) const {
    if (closing) return ended(m);
    m.eye = static_cast<std::uint8_t>(sticker);
    m.passed |= bit(piece(sticker));
    return settled(m);
  }

  Moment entered(Moment m, int sticker) const {
    m.entry = static_cast<std::uint8_t>(sticker);
    return named(m, sticker, false);
  }

  // After one of the expected letters.
  Moment after(const Moment& m, int sticker) const {
    return m.eye == kNowhere ? entered(m, sticker) : named(m, sticker, closes(m));
  }

  // The cycle's end, all of it passed; `letters` takes those that lead there.
  Moment finished(Moment m, std::vector<std::uint8_t>* letters = nullptr) const {
    while (m.eye != kNowhere) {
      const int sticker = seen(m.eye);
      if (letters) letters->push_back(static_cast<std::uint8_t>(sticker));
      m = named(m, sticker, closes(m));
    }
    return m;
  }

  // The pieces of the cycle of `sticker`, as far as they come after it, are to be walked again.
  Moment reopened(Moment m, int sticker) const {
    int place = sticker;
    do {
      m.passed &= static_cast<std::uint16_t>(~bit(piece(place)));
      place = seen(place);
    } while (piece(place) != piece(sticker) && !on_buffer(place));
    return m;
  }

  // Whether a right memo passes through this moment: whole cycles passed, and the way from the entry to the eye.
  bool is_right(const Moment& m) const {
    std::uint16_t whole = m.passed & pieces_;
    bool in_buffers = false;
    if (m.eye != kNowhere) {
      in_buffers = m.entry == o_.buffer;
      int place = m.entry;
      std::uint16_t way = in_buffers ? 0 : bit(piece(place));
      while (place != m.eye) {
        place = seen(place);
        if (piece(place) == piece(m.entry)) return false;
        way |= bit(piece(place));
      }
      if (way & ~whole) return false;
      whole &= static_cast<std::uint16_t>(~way);
      if (whole & cycle_of(piece(m.entry))) return false;
    }
    if (!in_buffers && cycle_of(buffer_piece_) & pieces_ & ~whole) return false;
    for (std::uint16_t left = whole; left; left &= static_cast<std::uint16_t>(left - 1))
      if (cycle_of(std::countr_zero(left)) & pieces_ & ~whole) return false;
    return true;
  }

  // How many letters a right memo still has at a moment that one passes through.
  int letters_left(const Moment& m) const {
    std::uint32_t cycles = leaders_ & ~static_cast<std::uint32_t>(m.passed);
    int count = std::popcount(static_cast<std::uint32_t>(pieces_ & ~m.passed));
    if (m.eye != kNowhere && m.entry != o_.buffer) {
      cycles &= ~static_cast<std::uint32_t>(cycle_of(piece(m.entry)));
      ++count;
    }
    return count + std::popcount(cycles);
  }

 private:
  std::uint16_t cycle_of(int piece) const { return cycle_[static_cast<std::size_t>(piece)]; }

  const TracedOrbit& o_;
  int buffer_piece_ = 0;
  std::uint32_t unsolved_ = 0;              // stickers
  std::uint16_t pieces_ = 0;                // their pieces
  std::uint16_t leaders_ = 0;               // the lowest piece of every unsolved cycle but the buffer's
  std::array<std::uint16_t, 12> cycle_{};   // for each piece the pieces of its cycle
};

// --- cheapest first --------------------------------------------------------------------------------------------

constexpr std::uint8_t kNoSticker = 255;

// A moment, and the cheapest way to it so far.
struct Node {
  Moment moment;
  std::int32_t before = -1;
  std::int32_t cost = 0;
  Slip slip = Slip::none;
  std::uint8_t sticker = kNoSticker;  // the right one, where the slip has just one
  bool done = false;
};

class Frontier {
 public:
  Frontier() : slots_(1u << 12, -1) {}

  // A way to a moment; `bound` is the least that any way through it costs in the end.
  void reach(const Moment& to, std::int32_t before, int cost, int bound, Slip slip, std::uint8_t sticker) {
    const std::size_t slot = find(to.key());
    std::int32_t index = slots_[slot];
    if (index < 0) {
      index = static_cast<std::int32_t>(nodes_.size());
      nodes_.push_back({to, before, cost, slip, sticker, false});
      slots_[slot] = index;
      if (nodes_.size() * 2 > slots_.size()) grow();
    } else {
      Node& node = nodes_[static_cast<std::size_t>(index)];
      if (node.cost <= cost) return;
      node.before = before;
      node.cost = cost;
      node.slip = slip;
      node.sticker = sticker;
    }
    open_.emplace(bound, index);
  }

  // The next moment, or -1.  Equal bounds come in the order they were reached.
  std::int32_t next() {
    while (!open_.empty()) {
      const std::int32_t index = open_.top().second;
      open_.pop();
      Node& node = nodes_[static_cast<std::size_t>(index)];
      if (node.done) continue;
      node.done = true;
      return index;
    }
    return -1;
  }

  const Node& at(std::int32_t index) const { return nodes_[static_cast<std::size_t>(index)]; }
  std::size_t size() const { return nodes_.size(); }

 private:
  std::size_t find(std::uint32_t key) const {
    const std::size_t mask = slots_.size() - 1;
    std::size_t slot = (key * 0x9E3779B1u >> 7) & mask;
    while (slots_[slot] >= 0 && at(slots_[slot]).moment.key() != key) slot = (slot + 1) & mask;
    return slot;
  }

  void grow() {
    slots_.assign(slots_.size() * 4, -1);
    for (std::size_t index = 0; index < nodes_.size(); ++index)
      slots_[find(nodes_[index].moment.key())] = static_cast<std::int32_t>(index);
  }

  using Open = std::pair<std::int32_t, std::int32_t>;
  std::vector<Node> nodes_;
  std::vector<std::int32_t> slots_;
  std::priority_queue<Open, std::vector<Open>, std::greater<>> open_;
};

// --- explaining ------------------------------------------------------------------------------------------------

class Explainer {
 public:
  Explainer(const TracedOrbit& orbit, const std::vector<std::uint8_t>& memo, const std::array<int, kSlips>& weights,
            int most_cost)
      : t_(orbit), memo_(memo), weights_(weights), most_cost_(most_cost) {}

  Marked run(std::size_t most_moments) {
    Marked marked;
    marked.right_letters = right_letters();
    frontier_.reach(t_.start(), -1, 0, 0, Slip::none, kNoSticker);
    while ((now_ = frontier_.next()) >= 0) {
      const Node node = frontier_.at(now_);
      if (is_end(node.moment)) {
        marked.cost = node.cost;
        tell(marked.steps);
        return marked;
      }
      if (frontier_.size() > most_moments) break;
      spread(node.moment, node.cost);
    }
    marked.gave_up = true;
    return marked;
  }

 private:
  int length() const { return static_cast<int>(memo_.size()); }
  int letter(int at) const { return memo_[static_cast<std::size_t>(at)]; }
  bool is_end(const Moment& m) const { return m.eye == kNowhere && m.read == length() && !t_.options(m); }

  int right_letters() const {
    Moment m = t_.start();
    int read = 0;
    while (read < length() && t_.expected(m) >> letter(read) & 1) m = t_.after(m, letter(read++));
    return read;
  }

  void go(const Moment& to, int cost, Slip slip, int sticker = kNoSticker, int add = 0) {
    cost += weights_[static_cast<std::size_t>(slip)] + add;
    if (cost <= most_cost_) frontier_.reach(to, now_, cost, cost, slip, static_cast<std::uint8_t>(sticker));
  }

  void spread(const Moment& m, int cost) {
    const std::uint32_t wanted = t_.expected(m);
    if (m.read < length()) {
      const int x = letter(m.read);
      Moment consumed = m;
      ++consumed.read;
      const bool twice = m.read > 0 && x == letter(m.read - 1);
      if (wanted >> x & 1) {
        go(t_.after(consumed, x), cost, Slip::none, x);
        if (m.eye == kNowhere) break_elsewhere(consumed, x, wanted, cost);
      } else if (!wanted) {
        Moment end = m;
        end.read = static_cast<std::uint8_t>(length());
        // The longer the tail, the less likely that it is nothing else.
        go(end, cost, Slip::too_long, kNoSticker, kEach * std::max(0, length() - m.read - 2));
      } else if (m.eye == kNowhere) {
        break_wrongly(consumed, x, wanted, cost);
      } else {
        substitute(m, consumed, x, cost);
      }
      if (wanted || twice) go(consumed, cost, twice ? Slip::doubled : Slip::extra);
      exchange(m, cost);
    }
    leave_out(m, wanted, cost);
  }

  void break_wrongly(const Moment& consumed, int x, std::uint32_t wanted, int cost) {
    // Broke into something that needs nothing (any more): one letter too many, or its cycle walked once more.
    go(consumed, cost, Slip::broke_wrongly);
    if (!t_.on_buffer(x)) go(t_.entered(t_.reopened(consumed, x), x), cost, Slip::broke_wrongly);
    break_elsewhere(consumed, x, wanted, cost);
  }

  // Broke into another sticker than the one written.
  void break_elsewhere(const Moment& consumed, int x, std::uint32_t wanted, int cost) {
    for (std::uint32_t left = wanted & ~(1u << x); left; left &= left - 1) {
      const int sticker = std::countr_zero(left);
      go(t_.entered(consumed, sticker), cost, relation(sticker, x), sticker, kRarer);
    }
  }

  // What a wrong letter is to the right one.
  Slip relation(int right, int x) const {
    return t_.piece(x) == t_.piece(right) ? Slip::other_sticker : t_.beside(right, x) ? Slip::beside : Slip::wrong;
  }

  void substitute(const Moment& m, const Moment& consumed, int x, int cost) {
    const int target = t_.seen(m.eye);
    const bool closing = t_.closes(m);
    const Slip slip = relation(target, x);
    go(t_.named(consumed, target, closing), cost, slip, target);
    if (closing) return;
    if (t_.piece(x) == t_.piece(m.entry)) {
      // Ended the cycle before its time; what lay between is lost, or comes later as a cycle of its own.
      std::vector<std::uint8_t> between;
      Moment lost = Tracing::ended(consumed);
      lost.passed = t_.finished(m, &between).passed;
      const bool one = between.size() == 2 && between.back() == x;  // then that one letter is left out
      if (!one) go(lost, cost, Slip::closed_early);
      go(Tracing::ended(consumed), cost, Slip::closed_early);
    }
    // Went on reading from the wrong sticker.
    Moment on = consumed;
    on.eye = static_cast<std::uint8_t>(x);
    if (!t_.on_buffer(x)) on.passed |= Tracing::bit(t_.piece(x));
    go(t_.settled(on), cost, slip, target);
  }

  void exchange(const Moment& m, int cost) {
    const auto try_order = [&](Slip slip, std::initializer_list<int> order) {
      Moment to = m;
      for (const int ahead : order) {
        const int x = letter(m.read + ahead);
        if (!(t_.expected(to) >> x & 1)) return;
        to = t_.after(to, x);
      }
      to.read = static_cast<std::uint8_t>(m.read + order.size());
      go(to, cost, slip);
    };
    if (m.read + 1 < length() && letter(m.read) != letter(m.read + 1)) try_order(Slip::exchanged, {1, 0});
    if (m.read % 2 == 0 && m.read + 3 < length()) try_order(Slip::pairs_exchanged, {2, 3, 0, 1});
  }

  void leave_out(const Moment& m, std::uint32_t wanted, int cost) {
    const bool more = m.read < length();
    if (!more) {
      Moment end = Tracing::ended(m);
      end.passed = kAllPassed;
      go(end, cost, Slip::stopped_early);
    }
    if (m.eye != kNowhere) {
      const int target = t_.seen(m.eye);
      const bool closing = t_.closes(m);
      if (closing || more) go(t_.named(m, target, closing), cost, closing ? Slip::unclosed : Slip::left_out, target);
      if (closing) return;
      std::vector<std::uint8_t> rest;
      Moment lost = Tracing::ended(m);
      lost.passed = t_.finished(m, &rest).passed;
      if (rest.size() > 1 && t_.at_buffer(m)) go(lost, cost, Slip::missed_cycle);
      if (!more) return;
      if (rest.size() > 1 && !t_.at_buffer(m)) go(lost, cost, Slip::closed_early);
      // Whoever leaves a cycle and breaks into it again where they left it has not slipped yet.  Breaking into the rest
      // of it is rather a letter misread.
      const int x = letter(m.read);
      if (x != target) go(Tracing::ended(m), cost, Slip::closed_early, kNoSticker, kMisread);
      return;
    }
    std::uint16_t told = 0;
    for (std::uint32_t left = wanted; left; left &= left - 1) {
      const int sticker = std::countr_zero(left);
      if (more) go(t_.entered(m, sticker), cost, Slip::left_out, sticker, kRarer);
      // Forgetting a whole cycle, told once a cycle, and rather at the end than on the way.
      if (told >> t_.piece(sticker) & 1) continue;
      const Moment over = t_.finished(t_.entered(m, sticker));
      told |= over.passed;
      go(over, cost, t_.in_place(sticker) ? Slip::missed_turned : Slip::missed_cycle, sticker, more ? 2 * kRarer : 0);
    }
  }

  // --- the way back ---

  void tell(std::vector<Step>& steps) const {
    std::vector<std::int32_t> way;
    for (std::int32_t index = now_; frontier_.at(index).before >= 0; index = frontier_.at(index).before)
      way.push_back(index);
    bool again = false;  // a cycle that was done with is walked once more
    for (; !way.empty(); way.pop_back()) {
      const Node& node = frontier_.at(way.back());
      const Moment& from = frontier_.at(node.before).moment;
      Step step;
      step.slip = node.slip;
      step.at = from.read;
      step.right = right_of(node, from);
      step.astray = again || !t_.is_right(from);
      again = node.moment.eye != kNowhere && (again || node.slip == Slip::broke_wrongly);
      step.strays = !step.astray && node.slip != Slip::stopped_early && (again || !t_.is_right(node.moment));
      step.expected = expected_of(node, from, step.right);
      steps.push_back(std::move(step));
    }
  }

  std::uint32_t expected_of(const Node& node, const Moment& from, const std::vector<std::uint8_t>& right) const {
    switch (node.slip) {
      case Slip::missed_turned:
      case Slip::missed_cycle: {
        // Every sticker of the cycle may be broken into; the buffer's own cycle begins with one letter.
        if (from.eye != kNowhere) return 1u << right.front();
        const std::uint16_t passed = node.moment.passed & static_cast<std::uint16_t>(~from.passed);
        std::uint32_t stickers = 0;
        for (std::uint32_t left = t_.expected(from); left; left &= left - 1)
          if (passed >> t_.piece(std::countr_zero(left)) & 1) stickers |= 1u << std::countr_zero(left);
        return stickers;
      }
      case Slip::none:
      case Slip::doubled:
      case Slip::extra:
      case Slip::broke_wrongly:
      case Slip::stopped_early:
      case Slip::too_long:
        return t_.expected(from);
      default:
        return 1u << right.front();
    }
  }

  std::vector<std::uint8_t> right_of(const Node& node, const Moment& from) const {
    std::vector<std::uint8_t> right;
    const auto written = [&](std::initializer_list<int> order) {
      for (const int ahead : order) right.push_back(static_cast<std::uint8_t>(letter(from.read + ahead)));
    };
    switch (node.slip) {
      case Slip::exchanged:
        written({1, 0});
        break;
      case Slip::pairs_exchanged:
        written({2, 3, 0, 1});
        break;
      case Slip::closed_early:
        t_.finished(from, &right);
        break;
      case Slip::missed_turned:
      case Slip::missed_cycle:
        if (node.sticker != kNoSticker) right.push_back(node.sticker);
        t_.finished(node.sticker != kNoSticker ? t_.entered(from, node.sticker) : from, &right);
        break;
      case Slip::stopped_early:
        for (Moment m = t_.finished(from, &right); const std::uint32_t open = t_.options(m);) {
          const int sticker = std::countr_zero(open);
          right.push_back(static_cast<std::uint8_t>(sticker));
          m = t_.finished(t_.entered(m, sticker), &right);
        }
        break;
      default:
        if (node.sticker != kNoSticker) right.push_back(node.sticker);
    }
    return right;
  }

  static constexpr int kRarer = 1;  // what settles between equals
  static constexpr int kEach = 5;   // for every letter more
  static constexpr int kMisread = 16;

  const Tracing t_;
  const std::vector<std::uint8_t>& memo_;
  const std::array<int, kSlips>& weights_;
  const int most_cost_;
  Frontier frontier_;
  std::int32_t now_ = -1;
};

}  // namespace

Marked explain(const TracedOrbit& orbit, const std::vector<std::uint8_t>& memo, const std::array<int, kSlips>& weights,
               int most_cost, std::size_t most_moments) {
  return Explainer(orbit, memo, weights, most_cost).run(most_moments);
}

Nearest nearest(const TracedOrbit& orbit, const std::vector<std::uint8_t>& memo, int keep, int most_changes,
                std::size_t most_moments) {
  // Among equally many changes those are better that replace fewer letters, for they keep more of what was written.
  constexpr int kChange = 128, kReplaced = kChange + 1;
  const Tracing t(orbit);
  const int length = static_cast<int>(memo.size());
  Frontier frontier;
  const auto reach = [&](const Moment& to, std::int32_t before, int cost, Slip slip, std::uint8_t sticker) {
    // However it goes on, the letters too many or too few must go or come.
    const int bound = cost + kChange * std::abs(t.letters_left(to) - (length - to.read));
    if (bound < kChange * (most_changes + 1)) frontier.reach(to, before, cost, bound, slip, sticker);
  };
  reach(t.start(), -1, 0, Slip::none, kNoSticker);
  Nearest found;
  for (std::int32_t now; (now = frontier.next()) >= 0 && frontier.size() <= most_moments;) {
    const auto [m, before, cost, slip, sticker, done] = frontier.at(now);
    const std::uint32_t wanted = t.expected(m);
    if (m.read == length && !wanted) {
      found.changes = cost / kChange;
      for (; now >= 0; now = frontier.at(now).before)
        if (frontier.at(now).sticker != kNoSticker) found.letters.push_back(frontier.at(now).sticker);
      std::reverse(found.letters.begin(), found.letters.end());
      return found;
    }
    const bool kept = m.read < keep;
    Moment consumed = m;
    ++consumed.read;
    for (std::uint32_t left = wanted; left; left &= left - 1) {
      const auto right = static_cast<std::uint8_t>(std::countr_zero(left));
      if (m.read < length && memo[m.read] == right) reach(t.after(consumed, right), now, cost, Slip::none, right);
      if (kept) continue;
      if (m.read < length && memo[m.read] != right)
        reach(t.after(consumed, right), now, cost + kReplaced, Slip::wrong, right);
      reach(t.after(m, right), now, cost + kChange, Slip::left_out, right);
    }
    if (m.read < length && !kept) reach(consumed, now, cost + kChange, Slip::extra, kNoSticker);
  }
  found.gave_up = true;
  return found;
}

}  // namespace nightfold
