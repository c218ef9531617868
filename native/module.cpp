// The Python face of the native core: nightfold.search._native.  Buffers in, buffers out; src/nightfold/search/ gives
// them meaning.
#include <nanobind/nanobind.h>
#include <nanobind/ndarray.h>
#include <nanobind/stl/string.h>

#include <stdexcept>
#include <string>

#include "cube.hpp"
#include "reading.hpp"

namespace nb = nanobind;
using namespace nightfold;

namespace nightfold {
void bind_finder(nb::module_& m);
void bind_marking(nb::module_& m);
void bind_inquest(nb::module_& m);
void bind_twophase(nb::module_& m);
}

namespace {

using In = nb::ndarray<const std::uint8_t, nb::ndim<1>, nb::c_contig, nb::device::cpu>;
using Out = nb::ndarray<std::uint8_t, nb::ndim<1>, nb::c_contig, nb::device::cpu>;

Path path_named(const std::string& name) {
  if (name.empty()) return best_path();
  const Path path = name == "avx2" ? Path::avx2 : name == "ssse3" ? Path::ssse3 : Path::scalar;
  if ((path == Path::scalar && name != "scalar") || !has_path(path))
    throw std::invalid_argument("there is no path " + name + " on this processor");
  return path;
}

// How many cubes a buffer holds.
std::size_t cubes_in(std::size_t bytes) {
  if (bytes % kBytes) throw std::invalid_argument("a buffer of cubes must hold 32 bytes a cube");
  return bytes / kBytes;
}

const Cube* cubes(const In& buffer) { return reinterpret_cast<const Cube*>(buffer.data()); }

}  // namespace

NB_MODULE(_native, m) {
  m.doc() = "Native kernels of Nightfold: cube products, reading, solving, sampling, finding.";
  bind_finder(m);
  bind_marking(m);
  bind_inquest(m);
  bind_twophase(m);

  m.def("paths", [] {
    nb::list names;
    names.append("scalar");
    if (has_path(Path::ssse3)) names.append("ssse3");
    if (has_path(Path::avx2)) names.append("avx2");
    return names;
  });

  m.def(
      "multiply",
      [](const In& a, const In& b, Out& out, const std::string& path) {
        const std::size_t na = cubes_in(a.size()), nb_ = cubes_in(b.size()), n = cubes_in(out.size());
        if ((na != n && na != 1) || (nb_ != n && nb_ != 1)) throw std::invalid_argument("the buffers differ in length");
        const Path chosen = path_named(path);
        nb::gil_scoped_release free;
        multiply(cubes(a), na == 1, cubes(b), nb_ == 1, reinterpret_cast<Cube*>(out.data()), n, chosen);
      },
      nb::arg("a"), nb::arg("b"), nb::arg("out"), nb::arg("path") = "");

  m.def("shuffle_only", [](const In& a, const In& b, Out& out) {
    if (cubes_in(a.size()) != cubes_in(out.size()) || b.size() != kBytes)
      throw std::invalid_argument("the buffers differ in length");
    nb::gil_scoped_release free;
    shuffle_only(cubes(a), *cubes(b), reinterpret_cast<Cube*>(out.data()), cubes_in(a.size()));
  }, nb::arg("a"), nb::arg("b"), nb::arg("out"));

  m.def(
      "count",
      [](const In& states, int edge_buffer, int corner_buffer, Out& out) {
        const std::size_t n = cubes_in(states.size());
        if (out.size() != n * sizeof(CubeCount)) throw std::invalid_argument("out must hold 10 bytes a cube");
        if (edge_buffer < 0 || edge_buffer >= kEdges || corner_buffer < 0 || corner_buffer >= kCorners)
          throw std::invalid_argument("no such buffer piece");
        nb::gil_scoped_release free;
        count_many(cubes(states), n, edge_buffer, corner_buffer, reinterpret_cast<CubeCount*>(out.data()));
      },
      nb::arg("states"), nb::arg("edge_buffer"), nb::arg("corner_buffer"), nb::arg("out"));
}
