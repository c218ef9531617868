// nightfold.search._native.Finder
#include <nanobind/nanobind.h>
#include <nanobind/ndarray.h>
#include <nanobind/stl/vector.h>

#include <algorithm>

#include "finder.hpp"

namespace nb = nanobind;

namespace nightfold {

using In = nb::ndarray<const std::uint8_t, nb::ndim<1>, nb::c_contig, nb::device::cpu>;

void bind_finder(nb::module_& m) {
  nb::class_<Finder>(m, "Finder")
      .def(
          "__init__",
          [](Finder* self, const In& turns, std::vector<int> stems, std::vector<int> axes, std::vector<int> back) {
            const std::size_t count = stems.size();
            if (turns.size() != count * kBytes || axes.size() != count || back.size() != count)
              throw std::invalid_argument("turns, stems, axes and back differ in length");
            TurnSet set{{}, std::move(stems), std::move(axes), std::move(back)};
            const auto* packed = reinterpret_cast<const Cube*>(turns.data());
            for (std::size_t i = 0; i < count; ++i) {
              if (set.back[i] < 0 || set.back[i] >= static_cast<int>(count))
                throw std::invalid_argument("every turn needs one that takes it back");
              set.inverses.push_back(inverse(packed[i]));
            }
            new (self) Finder(std::move(set));
          },
          nb::arg("turns"), nb::arg("stems"), nb::arg("axes"), nb::arg("back"))
      .def("sequences_of", &Finder::sequences_of, nb::arg("length"))
      .def(
          "find",
          [](Finder& self, const In& wanted, const std::vector<bool>& matters, int longest, int extra, std::size_t memory,
             std::size_t most, int threads, nb::object progress) {
            if (wanted.size() != kBytes || matters.size() != kBytes) throw std::invalid_argument("32 bytes and flags");
            Cube goal;
            std::copy_n(wanted.data(), kBytes, goal.at.begin());
            std::array<bool, kBytes> flags{};
            std::copy(matters.begin(), matters.end(), flags.begin());
            Watch watch;
            bool raised = false;
            watch.poll = [&](int length, std::uint64_t walked) {
              const nb::gil_scoped_acquire hold;
              if (PyErr_CheckSignals()) return !(raised = true);
              if (progress.is_none()) return true;
              PyObject* answer = PyObject_CallFunction(progress.ptr(), "iK", length, static_cast<unsigned long long>(walked));
              if (!answer) return !(raised = true);
              const bool go_on = answer != Py_False;
              Py_DECREF(answer);
              return go_on;
            };
            FindResult found;
            bool stopped = false;
            {
              const nb::gil_scoped_release free;
              try {
                self.find(goal, flags, {longest, extra, memory, most, threads}, watch, found);
              } catch (const Stopped&) {
                stopped = true;
              }
            }
            if (raised) throw nb::python_error();
            // Threads find in any order; the order given out is always the same.
            std::sort(found.sequences.begin(), found.sequences.end(), [](const auto& a, const auto& b) {
              return a.size() != b.size() ? a.size() < b.size() : a < b;
            });
            nb::list sequences;
            for (const auto& sequence : found.sequences)
              sequences.append(nb::bytes(reinterpret_cast<const char*>(sequence.data()), sequence.size()));
            nb::dict told;
            told["sequences"] = sequences;
            told["proven"] = found.proven;
            told["table_depth"] = found.table_depth;
            told["memory_bound"] = found.memory_bound;
            told["cut"] = found.cut;
            told["walked"] = static_cast<std::uint64_t>(watch.walked);
            told["stopped"] = stopped;
            return told;
          },
          nb::arg("wanted"), nb::arg("matters"), nb::arg("longest"), nb::arg("extra") = 0,
          nb::arg("memory") = std::size_t{256} << 20, nb::arg("most") = 100000, nb::arg("threads") = 1,
          nb::arg("progress").none() = nb::none());
}

}  // namespace nightfold
