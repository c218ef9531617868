// Finding every sequence of turns with a wanted effect, from both ends at once.
//
// A state here tells where the pieces are (the inverse of the Cube of cube.hpp): byte p is the place of piece p and how
// it is turned there.  Pieces that do not matter are sent to a place that no turn moves, so that states which agree on
// all that matters are equal, and one hash join answers for all of them.
//
// Every sequence of n turns is a first part of a turns, kept in a table by the fingerprint of where it leads, and a
// second part of n - a turns, walked backwards from the wanted effect.  Turns of parallel layers are only taken in one
// order, so each different sequence is met exactly once and a length that was walked to its end is proven.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "cube.hpp"

namespace nightfold {

struct TurnSet {
  std::vector<Cube> inverses;   // of each turn, packed
  std::vector<int> stem;        // which layer it moves: turns of one stem merge
  std::vector<int> axis;        // turns of one axis commute
  std::vector<int> back;        // the number of the turn that takes it back
  int size() const { return static_cast<int>(stem.size()); }
};

// What a running search tells and hears.  `poll` is called from the calling thread every now and then with the length
// being walked and the sequences walked so far; it returns false to stop.
struct Watch {
  std::function<bool(int, std::uint64_t)> poll;
  std::atomic<bool> stop{false};
  std::atomic<std::uint64_t> walked{0};
};

struct FindOptions {
  int longest = 9;                        // the longest sequences looked for
  int extra = 0;                          // after the first find, so many lengths more
  std::size_t memory = std::size_t{256} << 20;        // bytes the table may take
  std::size_t most = 100000;              // sequences returned
  int threads = 1;
};

struct FindResult {
  std::vector<std::vector<std::uint8_t>> sequences;  // turn numbers, shortest first
  int proven = 0;                 // every length up to this one was walked to its end
  int table_depth = 0;            // turns of the first part that the memory allowed
  bool memory_bound = false;      // a deeper table was wanted than the memory allowed
  bool cut = false;               // more sequences were found than may be returned
};

class Finder {
 public:
  explicit Finder(TurnSet turns);
  ~Finder();
  Finder(const Finder&) = delete;
  Finder& operator=(const Finder&) = delete;

  // All sequences whose effect sends every piece that matters where `wanted` (a packed cube) sends it.  Throws Stopped
  // when the watch ends it; what was found until then is in `result`.
  void find(const Cube& wanted, const std::array<bool, kBytes>& matters, const FindOptions& options, Watch& watch,
            FindResult& result);

  // The number of different sequences of exactly `length` turns (parallel turns counted in one order).
  std::uint64_t sequences_of(int length) const;

  // At most this many turns fit into the code of a table entry.
  static constexpr int kCodeTurns = 10;
  static constexpr int kMostTurns = 63;

 private:
  struct Table;
  const Table& table(int depth, const std::array<bool, kBytes>& matters, int threads, Watch& watch);

  TurnSet turns_;
  std::map<int, std::shared_ptr<Table>> tables_;  // by depth, all for the same pieces that matter
};

struct Stopped : std::runtime_error {
  Stopped() : std::runtime_error("stopped") {}
};

}  // namespace nightfold
