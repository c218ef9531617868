// nightfold.search._native.mark_memo
#include <nanobind/nanobind.h>
#include <nanobind/stl/vector.h>

#include <stdexcept>

#include "marking.hpp"

namespace nb = nanobind;

namespace nightfold {

void bind_marking(nb::module_& m) {
  m.def(
      "mark_memo",
      [](std::vector<int> seen, std::vector<int> piece, std::vector<std::uint32_t> beside, int buffer,
         std::vector<int> memo, std::vector<int> weights, bool strict, int most_cost, std::size_t most_states) {
        const auto places = static_cast<int>(seen.size());
        if (places > 24 || piece.size() != seen.size() || beside.size() != seen.size() || weights.size() != kSlips)
          throw std::invalid_argument("an orbit of at most 24 stickers, and a weight for every slip, are needed");
        const auto bytes = [&](const std::vector<int>& numbers, int below) {
          std::vector<std::uint8_t> out;
          for (const int number : numbers) {
            if (number < 0 || number >= below) throw std::invalid_argument("a number is out of range");
            out.push_back(static_cast<std::uint8_t>(number));
          }
          return out;
        };
        if (buffer < 0 || buffer >= places || memo.size() > 100) throw std::invalid_argument("a number is out of range");
        const TracedOrbit orbit{bytes(seen, places), bytes(piece, 12), std::move(beside), buffer};
        std::array<int, kSlips> costs{};
        std::copy(weights.begin(), weights.end(), costs.begin());
        const std::vector<std::uint8_t> written = bytes(memo, places);
        Marked marked;
        {
          const nb::gil_scoped_release free;
          marked = mark(orbit, written, costs, strict, most_cost, most_states);
        }
        nb::list steps;
        for (const Step& step : marked.steps) {
          nb::list right;
          for (const std::uint8_t sticker : step.right) right.append(static_cast<int>(sticker));
          steps.append(nb::make_tuple(static_cast<int>(step.slip), step.at, step.expected, right));
        }
        return nb::make_tuple(steps, marked.cost, marked.gave_up);
      },
      nb::arg("seen"), nb::arg("piece"), nb::arg("beside"), nb::arg("buffer"), nb::arg("memo"), nb::arg("weights"),
      nb::arg("strict"),
      nb::arg("most_cost"), nb::arg("most_states"));
}

}  // namespace nightfold
