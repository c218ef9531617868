// Reading many cubes at once: how many letters, breaks and pieces turned in place each orbit has.
#pragma once

#include <cstddef>
#include <cstdint>

#include "cube.hpp"

namespace nightfold {

// What tracing one orbit from a buffer piece yields, as counts.
struct OrbitCount {
  std::uint8_t letters;   // targets shot to: one a piece, one more a cycle broken into, two a piece turned in place
  std::uint8_t breaks;    // cycles broken into, pieces turned in place among them
  std::uint8_t in_place;  // pieces at home but turned, the buffer piece not counted
  std::uint8_t solved;    // pieces at home and right, the buffer piece not counted
  std::uint8_t buffer;    // the buffer's own piece: 0 away, 1 at home but turned, 2 at home and right
};

// Ten bytes a cube: the edges' counts, then the corners'.
struct CubeCount {
  OrbitCount edges, corners;
};
static_assert(sizeof(CubeCount) == 10);

CubeCount count_one(const Cube& cube, int edge_buffer, int corner_buffer);

void count_many(const Cube* cubes, std::size_t count, int edge_buffer, int corner_buffer, CubeCount* out);

}  // namespace nightfold
