#include "finder.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <thread>

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#define NIGHTFOLD_X86 1
#endif

namespace nightfold {

namespace {

#ifdef NIGHTFOLD_X86
__attribute__((target("avx2"), always_inline)) inline void product_avx2(const Cube& a, const Cube& b, Cube& out) {
  const __m256i low = _mm256_set1_epi8(0x0f);
  const __m256i wrap = _mm256_setr_m128i(_mm_set1_epi8(0x20), _mm_set1_epi8(0x30));
  const __m256i x = _mm256_loadu_si256(reinterpret_cast<const __m256i*>(a.at.data()));
  const __m256i y = _mm256_loadu_si256(reinterpret_cast<const __m256i*>(b.at.data()));
  const __m256i sum = _mm256_add_epi8(_mm256_shuffle_epi8(x, _mm256_and_si256(y, low)), _mm256_andnot_si256(low, y));
  _mm256_storeu_si256(reinterpret_cast<__m256i*>(out.at.data()), _mm256_min_epu8(sum, _mm256_sub_epi8(sum, wrap)));
}

#define WALK_NAMESPACE by_avx2
#define WALK_TARGET __attribute__((target("avx2")))
#define WALK_PRODUCT product_avx2
#include "finder_walk.inc"
#undef WALK_NAMESPACE
#undef WALK_TARGET
#undef WALK_PRODUCT
#endif

inline void product_plain(const Cube& a, const Cube& b, Cube& out) { out = product_scalar(a, b); }

#define WALK_NAMESPACE by_scalar
#define WALK_TARGET
#define WALK_PRODUCT product_plain
#include "finder_walk.inc"
#undef WALK_NAMESPACE
#undef WALK_TARGET
#undef WALK_PRODUCT

template <bool Backwards, class Sink>
void walk(const TurnSet& turns, const Cube& state, std::uint64_t code, int last, int left, Watch& watch, Sink& sink) {
#ifdef NIGHTFOLD_X86
  if (best_path() == Path::avx2) return by_avx2::walk<Backwards>(turns, state, code, last, left, watch, sink);
#endif
  by_scalar::walk<Backwards>(turns, state, code, last, left, watch, sink);
}

// Where the pieces of a packed cube are, those that do not matter sent to byte 15, which no turn moves.
Cube places_of(const Cube& cube, const std::array<bool, kBytes>& matters) {
  Cube places = inverse(cube);
  for (std::size_t i = 0; i < kBytes; ++i)
    if (!matters[i]) places.at[i] = 15;
  return places;
}

// Runs `work(part)` for every part on a few threads while the calling thread polls; rethrows nothing, since the parts
// do not throw but for lack of memory, which ends the search like a stop.
void in_parts(int parts, int threads, int length, Watch& watch, const std::function<void(int)>& work) {
  std::atomic<int> next{0};
  std::atomic<int> running{std::max(1, std::min(threads, parts))};
  std::atomic<bool> out_of_memory{false};
  std::mutex mutex;
  std::condition_variable finished;
  auto labour = [&] {
    try {
      for (int part = next++; part < parts && !watch.stop; part = next++) work(part);
    } catch (const std::bad_alloc&) {
      out_of_memory = true;
      watch.stop = true;
    }
    const std::lock_guard lock(mutex);
    --running;
    finished.notify_all();
  };
  std::vector<std::thread> crew;
  const int hands = running;
  for (int i = 0; i < hands; ++i) crew.emplace_back(labour);
  {
    std::unique_lock lock(mutex);
    while (!finished.wait_for(lock, std::chrono::milliseconds(50), [&] { return running == 0; })) {
      lock.unlock();
      if (watch.poll && !watch.poll(length, watch.walked)) watch.stop = true;
      lock.lock();
    }
  }
  for (std::thread& hand : crew) hand.join();
  if (out_of_memory) throw std::bad_alloc();
  if (watch.stop) throw Stopped();
}

}  // namespace

// All first parts of one depth, in buckets by fingerprint.
struct Finder::Table {
  int depth = -1;
  std::array<bool, kBytes> matters{};
  int bits = 0;
  std::vector<std::uint32_t> begin;        // first entry of each bucket
  std::vector<std::uint32_t> check;        // low half of the fingerprint
  std::vector<std::uint64_t> code;         // turns, six bits each, the first highest
  std::vector<std::uint64_t> seen;         // a bit for each fingerprint met, to answer most misses at once
  int seen_bits = 0;

  // While it is made, the dealt list stands beside the table.
  static std::size_t bytes_for(std::uint64_t entries) { return static_cast<std::size_t>(entries) * 32 + 4096; }
};

Finder::Finder(TurnSet turns) : turns_(std::move(turns)) {
  if (turns_.size() > kMostTurns) throw std::invalid_argument("at most 63 different turns can be searched");
}

Finder::~Finder() = default;

std::uint64_t Finder::sequences_of(int length) const {
  // By last turn: how many sequences end in it.
  std::vector<std::uint64_t> ending(static_cast<std::size_t>(turns_.size()), 1);
  if (length == 0) return 1;
  for (int step = 1; step < length; ++step) {
    std::vector<std::uint64_t> longer(ending.size(), 0);
    for (std::size_t t = 0; t < ending.size(); ++t)
      for (std::size_t before = 0; before < ending.size(); ++before)
        if (turns_.axis[before] != turns_.axis[t] || turns_.stem[before] < turns_.stem[t]) longer[t] += ending[before];
    ending = longer;
  }
  std::uint64_t total = 0;
  for (const std::uint64_t n : ending) total += n;
  return total;
}

const Finder::Table& Finder::table(int depth, const std::array<bool, kBytes>& matters, int threads, Watch& watch) {
  if (!tables_.empty() && tables_.begin()->second->matters != matters) tables_.clear();
  if (const auto found = tables_.find(depth); found != tables_.end()) return *found->second;
  auto made = std::make_shared<Table>();
  const std::uint64_t entries = sequences_of(depth);
  made->depth = depth;
  made->matters = matters;
  made->bits = std::clamp(static_cast<int>(std::bit_width(entries)) - 2, 4, 28);
  made->seen_bits = std::clamp(static_cast<int>(std::bit_width(entries)) + 3, 10, 33);
  made->begin.resize((std::size_t{1} << made->bits) + 1);
  made->check.resize(entries);
  made->code.resize(entries);
  made->seen.resize(std::size_t{1} << (made->seen_bits - 6));
  const Cube start = places_of(identity(), matters);

  // Each first turn's sequences are walked into a list of their own, which is then dealt into piles by the high bits of
  // the fingerprints; pile after pile is put into its buckets while it fits the processor's cache.
  struct Entry {
    std::uint64_t print, code;
  };
  const int pile_bits = std::clamp(made->bits - 10, 0, 12);
  const std::size_t piles = std::size_t{1} << pile_bits;
  const auto pile_of = [&](std::uint64_t print) { return pile_bits ? print >> (64 - pile_bits) : 0; };
  const int parts = depth ? turns_.size() : 1;
  std::vector<std::vector<Entry>> dealt(static_cast<std::size_t>(parts));
  std::vector<std::vector<std::uint32_t>> ends(static_cast<std::size_t>(parts));
  in_parts(parts, threads, depth, watch, [&](int first) {
    const auto at = static_cast<std::size_t>(first);
    std::vector<Entry> list;
    auto keep = [&](const Cube& state, std::uint64_t code, int) { list.push_back({fingerprint(state), code}); };
    if (depth == 0) {
      keep(start, 0, -1);
    } else {
      walk<false>(turns_, product_scalar(turns_.inverses[at], start), static_cast<std::uint64_t>(first + 1), first,
                  depth - 1, watch, keep);
    }
    std::vector<std::uint32_t> end(piles + 1, 0);
    for (const Entry& entry : list) ++end[pile_of(entry.print) + 1];
    for (std::size_t pile = 0; pile < piles; ++pile) end[pile + 1] += end[pile];
    std::vector<Entry> sorted(list.size());
    for (const Entry& entry : list) sorted[end[pile_of(entry.print)]++] = entry;
    dealt[at] = std::move(sorted);
    ends[at] = std::move(end);
  });

  std::vector<std::uint32_t> pile_begin(piles + 1, 0);
  for (std::size_t pile = 0; pile < piles; ++pile) {
    pile_begin[pile + 1] = pile_begin[pile];
    for (const auto& end : ends) pile_begin[pile + 1] += end[pile] - (pile ? end[pile - 1] : 0);
  }
  const int shift = 64 - made->bits, seen_shift = 64 - made->seen_bits;
  in_parts(static_cast<int>(piles), threads, depth, watch, [&](int number) {
    const auto pile = static_cast<std::size_t>(number);
    const auto each = [&](auto&& use) {
      for (std::size_t part = 0; part < dealt.size(); ++part)
        for (std::uint32_t at = pile ? ends[part][pile - 1] : 0; at < ends[part][pile]; ++at) use(dealt[part][at]);
    };
    const std::size_t buckets = (std::size_t{1} << made->bits) / piles, first = pile * buckets;
    std::vector<std::uint32_t> fill(buckets + 1, 0);
    each([&](const Entry& entry) { ++fill[(entry.print >> shift) - first + 1]; });
    fill[0] = pile_begin[pile];
    for (std::size_t bucket = 0; bucket < buckets; ++bucket) {
      fill[bucket + 1] += fill[bucket];
      made->begin[first + bucket] = fill[bucket];
    }
    each([&](const Entry& entry) {
      const std::uint32_t at = fill[(entry.print >> shift) - first]++;
      made->check[at] = static_cast<std::uint32_t>(entry.print);
      made->code[at] = entry.code;
      const std::uint64_t bit = entry.print >> seen_shift;
      made->seen[bit >> 6] |= std::uint64_t{1} << (bit & 63);
    });
  });
  made->begin.back() = static_cast<std::uint32_t>(entries);
  watch.walked += entries;
  // The deepest table is by far the largest, so only it must make room for a deeper one.
  if (depth >= 6) std::erase_if(tables_, [](const auto& kept) { return kept.first >= 6; });
  return *(tables_[depth] = std::move(made));
}

void Finder::find(const Cube& wanted, const std::array<bool, kBytes>& matters, const FindOptions& options, Watch& watch,
                  FindResult& result) {
  const Cube start = places_of(identity(), matters);
  const Cube goal = places_of(wanted, matters);
  int deepest = 0;
  while (deepest < kCodeTurns && Table::bytes_for(sequences_of(deepest + 1)) <= options.memory &&
         sequences_of(deepest + 1) < (std::uint64_t{1} << 31))
    ++deepest;

  int last_length = options.longest;
  std::mutex mutex;
  if (start == goal) result.sequences.emplace_back();
  for (int length = 1; length <= last_length; ++length) {
    const int wish = (length + 1) / 2;
    // A deeper table that is there already makes the second part shorter.
    int depth = std::min(wish, deepest);
    for (const auto& [kept, made] : tables_)
      if (made->matters == matters && kept > depth && kept <= length) depth = kept;
    const int rest = length - depth;
    if (rest > kCodeTurns) break;
    result.memory_bound = result.memory_bound || wish > deepest;
    result.table_depth = depth;
    const Table& known = table(depth, matters, options.threads, watch);
    const int shift = 64 - known.bits, seen_shift = 64 - known.seen_bits;

    auto joining = [&](const Cube& state, std::uint64_t code, int last) {
      const std::uint64_t print = fingerprint(state);
      const std::uint64_t bit = print >> seen_shift;
      if (!(known.seen[bit >> 6] >> (bit & 63) & 1)) return;
      const std::size_t bucket = print >> shift;
      for (std::uint32_t at = known.begin[bucket]; at < known.begin[bucket + 1]; ++at) {
        if (known.check[at] != static_cast<std::uint32_t>(print)) continue;
        // Spell the two parts out, the second turned round, and make sure by doing the first once more.
        std::vector<std::uint8_t> sequence;
        for (int step = depth - 1; step >= 0; --step)
          sequence.push_back(static_cast<std::uint8_t>((known.code[at] >> (6 * step) & 63) - 1));
        if (depth && last >= 0) {
          const auto a = static_cast<std::size_t>(sequence.back()), b = static_cast<std::size_t>(last);
          if (turns_.axis[a] == turns_.axis[b] && turns_.stem[a] >= turns_.stem[b]) continue;
        }
        Cube check = start;
        for (const std::uint8_t turn : sequence) check = product_scalar(turns_.inverses[turn], check);
        if (!(check == state)) continue;
        for (int step = 0; step < rest; ++step) {
          const auto turn = static_cast<std::size_t>((code >> (6 * step) & 63) - 1);
          sequence.push_back(static_cast<std::uint8_t>(turns_.back[turn]));
        }
        const std::lock_guard lock(mutex);
        if (result.sequences.size() < options.most) {
          result.sequences.push_back(std::move(sequence));
        } else {
          result.cut = true;
        }
      }
    };
    if (rest == 0) {
      joining(goal, 0, -1);
    } else {
      in_parts(turns_.size(), options.threads, length, watch, [&](int first) {
        const auto at = static_cast<std::size_t>(first);
        walk<true>(turns_, product_scalar(turns_.inverses[at], goal), static_cast<std::uint64_t>(first + 1), first,
                   rest - 1, watch, joining);
      });
      watch.walked += sequences_of(rest);
    }
    result.proven = length;
    if (!result.sequences.empty()) {
      const int shortest = static_cast<int>(result.sequences.front().size());
      last_length = std::min(last_length, shortest + options.extra);
    }
  }
}

}  // namespace nightfold
