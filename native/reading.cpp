#include "reading.hpp"

namespace nightfold {

namespace {

// Follows cycles of places.  Every cycle but the buffer's costs a letter more than it has pieces, where a lone piece
// counts only if it is turned.
template <int kPieces>
OrbitCount count_orbit(const std::uint8_t* at, int buffer) {
  std::uint32_t left = (1u << kPieces) - 1;
  OrbitCount found{0, 0, 0, 0, 0};

  int place = buffer, length = 0;
  do {
    left &= ~(1u << place);
    place = at[place] & 0x0f;
    ++length;
  } while (place != buffer);
  found.letters = static_cast<std::uint8_t>(length - 1);
  if (length == 1) found.buffer = at[buffer] >> 4 ? 1 : 2;

  while (left) {
    const int entry = std::countr_zero(left);
    if ((at[entry] & 0x0f) == entry) {
      left &= left - 1;
      const int turned = at[entry] >> 4 ? 1 : 0;
      found.in_place += static_cast<std::uint8_t>(turned);
      found.solved += static_cast<std::uint8_t>(1 - turned);
      found.letters += static_cast<std::uint8_t>(2 * turned);
      found.breaks += static_cast<std::uint8_t>(turned);
      continue;
    }
    place = entry;
    do {
      left &= ~(1u << place);
      place = at[place] & 0x0f;
      ++found.letters;
    } while (place != entry);
    ++found.letters;
    ++found.breaks;
  }
  return found;
}

}  // namespace

CubeCount count_one(const Cube& cube, int edge_buffer, int corner_buffer) {
  return {count_orbit<kEdges>(cube.at.data(), edge_buffer),
          count_orbit<kCorners>(cube.at.data() + kCornerAt, corner_buffer)};
}

void count_many(const Cube* cubes, std::size_t count, int edge_buffer, int corner_buffer, CubeCount* out) {
  for (std::size_t i = 0; i < count; ++i) out[i] = count_one(cubes[i], edge_buffer, corner_buffer);
}

}  // namespace nightfold
