// nightfold.search._native.InquestDesk
#include <nanobind/nanobind.h>
#include <nanobind/ndarray.h>
#include <nanobind/stl/pair.h>
#include <nanobind/stl/tuple.h>
#include <nanobind/stl/vector.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <memory>
#include <stdexcept>

#include "inquest.hpp"

namespace nb = nanobind;

namespace nightfold {

using In = nb::ndarray<const std::uint8_t, nb::ndim<1>, nb::c_contig, nb::device::cpu>;

namespace {

std::vector<Cube> many(const In& buffer) {
  if (buffer.size() % kBytes) throw std::invalid_argument("a buffer of cubes must hold 32 bytes a cube");
  std::vector<Cube> cubes(buffer.size() / kBytes);
  std::copy_n(buffer.data(), buffer.size(), reinterpret_cast<std::uint8_t*>(cubes.data()));
  return cubes;
}

// Whether each half of a cube takes every place from one other, so that products stay inside.
bool sound(const Cube& cube) {
  for (std::size_t half = 0; half < kBytes; half += 16) {
    unsigned seen = 0;
    for (std::size_t i = half; i < half + 16; ++i) {
      seen |= 1u << (cube.at[i] & 0x0f);
      if (cube.at[i] >= wrap_at(i)) return false;
    }
    if (seen != 0xffff) return false;
  }
  return true;
}

std::vector<std::uint8_t> numbers(const nb::bytes& given, std::size_t below) {
  std::vector<std::uint8_t> out(given.size());
  std::copy_n(static_cast<const std::uint8_t*>(given.data()), given.size(), out.data());
  for (const std::uint8_t number : out)
    if (number >= below) throw std::invalid_argument("no such turn");
  return out;
}

Stretch stretch(int start, int end, const nb::bytes& turns, std::size_t known, std::size_t meant) {
  if (start < 0 || end < start || end > static_cast<int>(meant))
    throw std::invalid_argument("an edit lies outside the meant turns");
  return {start, end, numbers(turns, known)};
}

nb::object told(const Explanation& explanation) {
  nb::list slips;
  for (const SlipMade& slip : explanation.slips) slips.append(nb::make_tuple(slip.kind, slip.place, slip.number));
  return nb::make_tuple(explanation.weight, slips);
}

using Edit = std::tuple<int, int, nb::bytes, float>;
using Split = std::tuple<int, int, nb::bytes, int, int, nb::bytes, float>;
using Choice = std::pair<int, float>;

InquestDesk* desk(const In& turns, const nb::bytes& meant, const std::vector<Edit>& edits,
                  const std::vector<Split>& splits, const std::vector<std::vector<Choice>>& alternatives,
                  const std::vector<Choice>& strays, const In& rotations) {
  Inquest question;
  question.turns = many(turns);
  question.rotations = many(rotations);
  const std::size_t known = question.turns.size();
  if (known > 255 || question.rotations.size() != 24 || alternatives.size() != known)
    throw std::invalid_argument("the parts of the question do not fit together");
  for (const auto* cubes : {&question.turns, &question.rotations})
    for (const Cube& cube : *cubes)
      if (!sound(cube)) throw std::invalid_argument("a buffer of cubes holds what is no cube");
  question.meant = numbers(meant, known);
  const std::size_t length = question.meant.size();
  const auto weighed = [](float weight) {
    if (!std::isfinite(weight)) throw std::invalid_argument("a weight must be a finite number");
    return weight;
  };
  for (const auto& [start, end, made, weight] : edits)
    question.edits.push_back({stretch(start, end, made, known, length), weighed(weight)});
  for (const auto& [start, end, made, start2, end2, made2, weight] : splits) {
    if (start2 < end) throw std::invalid_argument("the second part of an edit must lie behind the first");
    question.splits.push_back(
        {stretch(start, end, made, known, length), stretch(start2, end2, made2, known, length), weighed(weight)});
  }
  const auto choice = [&](const Choice& one, int least) {
    if (one.first < least || one.first >= static_cast<int>(known)) throw std::invalid_argument("no such turn");
    return Alternative{one.first, weighed(one.second)};
  };
  for (const auto& list : alternatives) {
    question.alternatives.emplace_back();
    for (const Choice& one : list) question.alternatives.back().push_back(choice(one, -1));
  }
  for (const Choice& one : strays) question.strays.push_back(choice(one, 0));
  const nb::gil_scoped_release free;
  return new InquestDesk(question);
}

nb::object search(const InquestDesk& self, const In& target, int most_slips, std::size_t most,
                  std::size_t triple_singles, int threads, bool nearest, const nb::object& progress) {
  if (target.size() != kBytes) throw std::invalid_argument("the target must be one cube");
  Cube goal;
  std::copy_n(target.data(), kBytes, goal.at.begin());
  if (!sound(goal)) throw std::invalid_argument("the target is no cube");
  Watch watch;
  bool raised = false;
  auto told_last = std::chrono::steady_clock::now();
  watch.poll = [&](int depth, std::uint64_t done) {
    const auto now = std::chrono::steady_clock::now();
    if (now - told_last < std::chrono::milliseconds(100)) return true;
    told_last = now;
    const nb::gil_scoped_acquire hold;
    if (PyErr_CheckSignals()) return !(raised = true);
    if (progress.is_none()) return true;
    PyObject* answer = PyObject_CallFunction(progress.ptr(), "iK", depth, static_cast<unsigned long long>(done));
    if (!answer) return !(raised = true);
    const bool go_on = answer != Py_False;
    Py_DECREF(answer);
    return go_on;
  };
  bool stopped = false;
  InquestResult result;
  {
    const nb::gil_scoped_release free;
    try {
      result = self.search(goal, {most_slips, most, triple_singles, threads, nearest}, watch);
    } catch (const Stopped&) {
      stopped = true;
    }
  }
  if (raised) throw nb::python_error();
  if (stopped) return nb::none();
  nb::list explanations;
  for (const Explanation& one : result.explanations) explanations.append(told(one));
  return nb::make_tuple(explanations, nb::make_tuple(result.singles, result.pairs, result.triples),
                        told(result.nearest), result.nearest_wrong);
}

}  // namespace

void bind_inquest(nb::module_& m) {
  nb::class_<InquestDesk>(m, "InquestDesk")
      .def("__init__",
           [](InquestDesk* self, const In& turns, const nb::bytes& meant, const std::vector<Edit>& edits,
              const std::vector<Split>& splits, const std::vector<std::vector<Choice>>& alternatives,
              const std::vector<Choice>& strays, const In& rotations) {
             std::unique_ptr<InquestDesk> made(desk(turns, meant, edits, splits, alternatives, strays, rotations));
             new (self) InquestDesk(std::move(*made));
           },
           nb::arg("turns"), nb::arg("meant"), nb::arg("edits"), nb::arg("splits"), nb::arg("alternatives"),
           nb::arg("strays"), nb::arg("rotations"))
      .def_prop_ro("singles", &InquestDesk::singles)
      .def("search", &search, nb::arg("target"), nb::arg("most_slips") = 3, nb::arg("most") = 400,
           nb::arg("triple_singles") = 20000, nb::arg("threads") = 1, nb::arg("nearest") = true,
           nb::arg("progress") = nb::none());
}

}  // namespace nightfold
