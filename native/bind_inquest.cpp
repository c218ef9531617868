// nightfold.search._native.inquire
#include <nanobind/nanobind.h>
#include <nanobind/ndarray.h>
#include <nanobind/stl/pair.h>
#include <nanobind/stl/tuple.h>
#include <nanobind/stl/vector.h>

#include <algorithm>
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

std::vector<std::uint8_t> numbers(const std::vector<int>& given, std::size_t below) {
  std::vector<std::uint8_t> out;
  for (const int number : given) {
    if (number < 0 || static_cast<std::size_t>(number) >= below) throw std::invalid_argument("no such turn");
    out.push_back(static_cast<std::uint8_t>(number));
  }
  return out;
}

nb::object told(const Explanation& explanation) {
  nb::list slips;
  for (const SlipMade& slip : explanation.slips) slips.append(nb::make_tuple(slip.kind, slip.place, slip.number));
  return nb::make_tuple(explanation.weight, slips);
}

}  // namespace

void bind_inquest(nb::module_& m) {
  using Edit = std::tuple<int, int, std::vector<int>, float>;
  using Choice = std::pair<int, float>;
  m.def(
      "inquire",
      [](const In& turns, const std::vector<int>& meant, const std::vector<Edit>& edits,
         const std::vector<std::vector<Choice>>& alternatives, std::vector<float> place_weight,
         const std::vector<Choice>& strays, const In& rotations, const In& target, int most_slips, std::size_t most,
         std::size_t triple_singles, int threads) {
        Inquest question;
        question.turns = many(turns);
        question.rotations = many(rotations);
        const std::size_t known = question.turns.size();
        if (known > 255 || question.rotations.size() != 24 || alternatives.size() != known ||
            place_weight.size() != meant.size() || target.size() != kBytes)
          throw std::invalid_argument("the parts of the question do not fit together");
        question.meant = numbers(meant, known);
        const int length = static_cast<int>(meant.size());
        for (const auto& [start, end, made, weight] : edits) {
          if (start < 0 || end < start || end > length) throw std::invalid_argument("an edit lies outside the meant turns");
          question.edits.push_back({start, end, numbers(made, known), weight});
        }
        const auto choice = [&](const Choice& one) {
          if (one.first >= static_cast<int>(known)) throw std::invalid_argument("no such turn");
          return Alternative{one.first, one.second};
        };
        for (const auto& list : alternatives) {
          question.alternatives.emplace_back();
          for (const Choice& one : list) question.alternatives.back().push_back(choice(one));
        }
        for (const Choice& one : strays) {
          if (one.first < 0) throw std::invalid_argument("no such turn");
          question.strays.push_back(choice(one));
        }
        question.place_weight = std::move(place_weight);
        Cube goal;
        std::copy_n(target.data(), kBytes, goal.at.begin());

        Watch watch;
        bool raised = false;
        watch.poll = [&](int, std::uint64_t) {
          const nb::gil_scoped_acquire hold;
          return !(raised = PyErr_CheckSignals() != 0);
        };
        InquestResult result;
        {
          const nb::gil_scoped_release free;
          try {
            result = inquire(question, goal, most_slips, most, triple_singles, threads, watch);
          } catch (const Stopped&) {
          }
        }
        if (raised) throw nb::python_error();
        nb::list explanations;
        for (const Explanation& one : result.explanations) explanations.append(told(one));
        return nb::make_tuple(explanations, nb::make_tuple(result.singles, result.pairs, result.triples),
                              told(result.nearest), result.nearest_wrong);
      },
      nb::arg("turns"), nb::arg("meant"), nb::arg("edits"), nb::arg("alternatives"), nb::arg("place_weight"),
      nb::arg("strays"), nb::arg("rotations"), nb::arg("target"), nb::arg("most_slips"), nb::arg("most"),
      nb::arg("triple_singles"), nb::arg("threads"));
}

}  // namespace nightfold
