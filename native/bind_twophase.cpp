// nightfold.search._native.TwoPhase and .Pocket: solving the 3x3x3 and the 2x2x2, and the tables that takes
#include <nanobind/nanobind.h>
#include <nanobind/ndarray.h>
#include <nanobind/stl/vector.h>

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>

#include "pocket.hpp"
#include "twophase.hpp"

namespace nb = nanobind;

namespace nightfold {

namespace {

using In = nb::ndarray<const std::uint8_t, nb::ndim<1>, nb::c_contig, nb::device::cpu>;
using Out = nb::ndarray<std::uint8_t, nb::ndim<1>, nb::c_contig, nb::device::cpu>;

// A solution as it is handed out: its length (kNone: there is none), then its turns.
constexpr std::size_t kSolutionBytes = 32;
constexpr std::uint8_t kNone = 255;
static_assert(kMostTurns < kSolutionBytes && kPocketMost < kSolutionBytes);

// Buffers may begin anywhere in memory, so cubes are copied out of them.
std::vector<Cube> cubes_in(const In& buffer) {
  if (buffer.size() % kBytes) throw std::invalid_argument("a buffer of cubes must hold 32 bytes a cube");
  std::vector<Cube> cubes(buffer.size() / kBytes);
  if (!cubes.empty()) std::memcpy(cubes.data(), buffer.data(), buffer.size());
  return cubes;
}

std::vector<Cube> cubes_in(const In& buffer, std::size_t count, const char* what) {
  std::vector<Cube> cubes = cubes_in(buffer);
  if (cubes.size() != count) throw std::invalid_argument("there must be " + std::to_string(count) + " " + what);
  return cubes;
}

// Runs `work(stop, first, second)` on a thread of its own, without the interpreter's lock.  Meanwhile this thread looks
// out for signals and tells `progress` the two counters about ten times a second; a signal, an exception or the answer
// False sets `stop`.  Returns false when stopped by that answer.
template <class Work>
bool watched(const nb::object& progress, Work work) {
  using namespace std::chrono_literals;
  Stop stop{false};
  std::atomic<int> depth{0};
  std::atomic<std::uint64_t> nodes{0};
  std::mutex lock;
  std::condition_variable ended;
  bool done = false, told_to_stop = false;
  std::exception_ptr thrown;
  std::optional<nb::python_error> raised;
  {
    const nb::gil_scoped_release free;
    std::thread worker([&] {
      try {
        work(stop, depth, nodes);
      } catch (...) {
        thrown = std::current_exception();
      }
      const std::lock_guard<std::mutex> hold(lock);
      done = true;
      ended.notify_one();
    });
    std::unique_lock<std::mutex> wait(lock);
    while (!ended.wait_for(wait, 100ms, [&] { return done; })) {
      if (stop) continue;
      wait.unlock();
      {
        const nb::gil_scoped_acquire hold;
        try {
          if (PyErr_CheckSignals()) throw nb::python_error();
          if (!progress.is_none()) told_to_stop = progress(depth.load(), nodes.load()).is(nb::bool_(false));
          if (told_to_stop) stop = true;
        } catch (nb::python_error& error) {
          raised.emplace(std::move(error));
          stop = true;
        }
      }
      wait.lock();
    }
    wait.unlock();
    worker.join();
  }
  if (raised) throw std::move(*raised);
  if (thrown) std::rethrow_exception(thrown);
  return !told_to_stop;
}

// Bytes that are still to be filled.
nb::bytes empty_bytes(std::size_t count) {
  PyObject* const bytes = PyBytes_FromStringAndSize(nullptr, static_cast<Py_ssize_t>(count));
  if (!bytes) throw nb::python_error();
  return nb::steal<nb::bytes>(bytes);
}

std::uint8_t* inside(const nb::bytes& bytes) { return reinterpret_cast<std::uint8_t*>(PyBytes_AS_STRING(bytes.ptr())); }

int sensible(int threads) { return std::clamp(threads, 1, 64); }

void write_solution(const Solution& solution, std::uint8_t* out) {
  std::fill_n(out, kSolutionBytes, std::uint8_t{0});
  out[0] = solution.length < 0 ? kNone : static_cast<std::uint8_t>(solution.length);
  if (solution.length > 0) std::copy_n(solution.turn.begin(), solution.length, out + 1);
}

bool solves(const Solution& solution, Cube cube, const TurnTable& turns) {
  for (int i = 0; i < solution.length; ++i) cube = product_scalar(cube, turns.turn[solution.turn[i]]);
  return cube == identity();
}

void check_symmetries(const In& symmetries) {
  if (symmetries.size() != kSymmetries * kTurns)
    throw std::invalid_argument("there must be 16 symmetries of 18 turns");
}

void check_out(const Out& out, std::size_t count) {
  if (out.size() != count * kSolutionBytes) throw std::invalid_argument("out must hold 32 bytes a cube");
}

void check_reachable(bool reachable, std::size_t number) {
  if (!reachable) throw std::invalid_argument("no turns lead to cube " + std::to_string(number));
}

// Solvers point into their tables, so they hold on to the buffer.
struct BoundTwoPhase {
  In tables;
  TwoPhase solver;
};

struct BoundPocket {
  In tables;
  Pocket solver;
};

}  // namespace

void bind_twophase(nb::module_& m) {
  m.def("checksum", [](const In& data) {
    const nb::gil_scoped_release free;
    return checksum(data.data(), data.size());
  }, nb::arg("data"));

  m.def("is_reachable", [](const In& state) { return is_reachable(cubes_in(state, 1, "cube")[0]); }, nb::arg("state"));

  m.def(
      "build_two_phase",
      [](const In& turns, const In& symmetries, int threads) {
        const std::vector<Cube> packed = cubes_in(turns, kTurns, "turns");
        check_symmetries(symmetries);
        const nb::bytes data = empty_bytes(Tables::bytes());
        watched(nb::none(), [&](const Stop& stop, auto&, auto&) {
          build_two_phase(packed.data(), symmetries.data(), sensible(threads), inside(data), stop);
        });
        return data;
      },
      nb::arg("turns"), nb::arg("symmetries"), nb::arg("threads"));

  nb::class_<BoundTwoPhase>(m, "TwoPhase")
      .def(
          "__init__",
          [](BoundTwoPhase* self, const In& turns, const In& symmetries, const In& axes, In tables) {
            const std::vector<Cube> packed = cubes_in(turns, kTurns, "turns"), held = cubes_in(axes, kAxes, "axes");
            check_symmetries(symmetries);
            new (self) BoundTwoPhase{
                tables, TwoPhase(packed.data(), symmetries.data(), held.data(), tables.data(), tables.size())};
          },
          nb::arg("turns"), nb::arg("symmetries"), nb::arg("axes"), nb::arg("tables"))
      .def_prop_ro("phase_one_counts",
                   [](const BoundTwoPhase& self) {
                     const std::uint64_t* const counts = self.solver.tables().head->phase_one;
                     return std::vector<std::uint64_t>(counts, counts + kMostPhaseOne + 1);
                   })
      .def(
          "phase_one_distance",
          [](const BoundTwoPhase& self, const In& state) {
            const std::vector<Cube> cube = cubes_in(state, 1, "cube");
            check_reachable(is_reachable(cube[0]), 0);
            return self.solver.phase_one_distance(cube[0]);
          },
          nb::arg("state"))
      .def(
          "solve",
          [](const BoundTwoPhase& self, const In& states, const Out& out, int longest, std::uint64_t effort,
             int threads, const nb::object& progress) {
            const std::vector<Cube> cubes = cubes_in(states);
            check_out(out, cubes.size());
            for (std::size_t i = 0; i < cubes.size(); ++i) check_reachable(is_reachable(cubes[i]), i);
            std::uint64_t looked_at = 0;
            const bool finished = watched(progress, [&](Stop& stop, std::atomic<int>& solved, auto& nodes) {
              std::atomic<std::size_t> next{0};
              std::atomic<bool> wrong{false};
              const auto work = [&] {
                for (std::size_t i; !stop && (i = next++) < cubes.size(); ++solved) {
                  const Solution solution = self.solver.solve(cubes[i], longest, effort, stop, nodes);
                  if (solution.length >= 0 && !solves(solution, cubes[i], self.solver.turns())) wrong = stop = true;
                  write_solution(solution, out.data() + i * kSolutionBytes);
                }
              };
              std::vector<std::thread> others;
              const auto wanted = std::min<std::size_t>(sensible(threads), std::max<std::size_t>(1, cubes.size()));
              for (std::size_t k = 1; k < wanted; ++k) others.emplace_back(work);
              work();
              for (std::thread& other : others) other.join();
              if (wrong) throw std::logic_error("a solution does not solve");
              looked_at = nodes;
            });
            return nb::make_tuple(finished, looked_at);
          },
          nb::arg("states"), nb::arg("out"), nb::arg("longest"), nb::arg("effort"), nb::arg("threads"),
          nb::arg("progress").none() = nb::none())
      .def(
          "optimal",
          [](const BoundTwoPhase& self, const In& state, const Out& out, int longest, int threads,
             const nb::object& progress) {
            const std::vector<Cube> cube = cubes_in(state, 1, "cube");
            check_out(out, 1);
            check_reachable(is_reachable(cube[0]), 0);
            std::uint64_t looked_at = 0;
            const bool finished = watched(progress, [&](Stop& stop, std::atomic<int>& depth, auto& nodes) {
              const Solution solution = self.solver.optimal(cube[0], longest, sensible(threads), stop, nodes, depth);
              if (solution.length >= 0 && !solves(solution, cube[0], self.solver.turns()))
                throw std::logic_error("a solution does not solve");
              write_solution(solution, out.data());
              looked_at = nodes;
            });
            return nb::make_tuple(finished, looked_at);
          },
          nb::arg("state"), nb::arg("out"), nb::arg("longest"), nb::arg("threads"),
          nb::arg("progress").none() = nb::none());

  m.def(
      "build_pocket",
      [](const In& turns) {
        const std::vector<Cube> packed = cubes_in(turns, kPocketTurns, "turns");
        const nb::bytes data = empty_bytes(sizeof(PocketTables));
        watched(nb::none(), [&](const Stop& stop, auto&, auto&) {
          build_pocket(packed.data(), *reinterpret_cast<PocketTables*>(inside(data)), stop);
        });
        return data;
      },
      nb::arg("turns"));

  nb::class_<BoundPocket>(m, "Pocket")
      .def(
          "__init__",
          [](BoundPocket* self, const In& turns, In tables) {
            const std::vector<Cube> packed = cubes_in(turns, kPocketTurns, "turns");
            new (self) BoundPocket{tables, Pocket(packed.data(), tables.data(), tables.size())};
          },
          nb::arg("turns"), nb::arg("tables"))
      .def_prop_ro("held", [](const BoundPocket& self) { return self.solver.held(); })
      .def_prop_ro("counts",
                   [](const BoundPocket& self) {
                     const std::uint64_t* const counts = self.solver.tables().states_at;
                     return std::vector<std::uint64_t>(counts, counts + kPocketMost + 1);
                   })
      .def(
          "solve",
          [](const BoundPocket& self, const In& states, const Out& out) {
            const std::vector<Cube> cubes = cubes_in(states);
            check_out(out, cubes.size());
            for (std::size_t i = 0; i < cubes.size(); ++i) check_reachable(self.solver.is_reachable(cubes[i]), i);
            const nb::gil_scoped_release free;
            std::fill_n(out.data(), out.size(), std::uint8_t{0});
            for (std::size_t i = 0; i < cubes.size(); ++i) {
              std::uint8_t* const one = out.data() + i * kSolutionBytes;
              one[0] = static_cast<std::uint8_t>(self.solver.solve(cubes[i], one + 1));
            }
          },
          nb::arg("states"), nb::arg("out"));
}

}  // namespace nightfold
