// The cube as 32 bytes, and its product as a byte shuffle.
//
// Byte i of the first half tells what is at edge place i: the piece in the low four bits and, in the high four, how far
// it is turned.  The second half does the same for corners (8 places) and, behind them, for the 6 centres.  Bytes that
// stand for no place hold their own number.  Pieces, places and turning are numbered as in nightfold.cube.geometry; all
// turns come from there, so this file knows no geometry.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace nightfold {

inline constexpr int kEdges = 12;
inline constexpr int kCorners = 8;
inline constexpr int kCentres = 6;
inline constexpr int kCornerAt = 16;
inline constexpr int kCentreAt = 24;
inline constexpr std::size_t kBytes = 32;

struct Cube {
  std::array<std::uint8_t, kBytes> at;

  bool operator==(const Cube&) const = default;
};

constexpr Cube identity() {
  Cube cube{};
  for (std::size_t i = 0; i < kBytes; ++i) cube.at[i] = static_cast<std::uint8_t>(i % 16);
  return cube;
}

// The high bits wrap round at 2 for edges and at 3 for corners.
constexpr std::uint8_t wrap_at(std::size_t i) { return i < kCornerAt ? 0x20 : 0x30; }

// a, then b: place i shows what a had at the place b took it from, turned further by b.
inline Cube product_scalar(const Cube& a, const Cube& b) {
  Cube r;
  for (std::size_t half = 0; half < kBytes; half += 16) {
    for (std::size_t i = half; i < half + 16; ++i) {
      const auto sum = static_cast<std::uint8_t>(a.at[half + (b.at[i] & 0x0f)] + (b.at[i] & 0xf0));
      const auto less = static_cast<std::uint8_t>(sum - wrap_at(i));
      r.at[i] = less < sum ? less : sum;
    }
  }
  return r;
}

inline Cube inverse(const Cube& a) {
  Cube r;
  for (std::size_t half = 0; half < kBytes; half += 16) {
    for (std::size_t i = half; i < half + 16; ++i) {
      const std::uint8_t turned = a.at[i] & 0xf0;
      const std::uint8_t back = turned ? static_cast<std::uint8_t>(wrap_at(i) - turned) : std::uint8_t{0};
      r.at[half + (a.at[i] & 0x0f)] = static_cast<std::uint8_t>((i - half) | back);
    }
  }
  return r;
}

// A 64-bit fingerprint of all 32 bytes (multiply-and-fold; collisions are always checked for by their users).
inline std::uint64_t fingerprint(const Cube& a) {
  std::uint64_t word[4];
  std::memcpy(word, a.at.data(), kBytes);
  std::uint64_t h = 0x9e3779b97f4a7c15ull;
  for (const std::uint64_t w : word) {
    h = (h ^ w) * 0xff51afd7ed558ccdull;
    h ^= h >> 32;
  }
  h *= 0xc4ceb9fe1a85ec53ull;
  return h ^ (h >> 29);
}

enum class Path { scalar, ssse3, avx2 };

// The fastest path this processor has, and whether a given one can run here.
Path best_path();
bool has_path(Path path);

// out[i] = a[i] * b[i]; where one side is a single cube it is used for every i.
void multiply(const Cube* a, bool one_a, const Cube* b, bool one_b, Cube* out, std::size_t count, Path path);

// The machine's own bound for the benchmarks: each cube's bytes shuffled by one other's, nothing more.
void shuffle_only(const Cube* a, const Cube& b, Cube* out, std::size_t count);

}  // namespace nightfold
