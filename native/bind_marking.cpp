// nightfold.search._native.explain_memo and nearest_memo
#include <nanobind/nanobind.h>
#include <nanobind/stl/vector.h>

#include <algorithm>
#include <stdexcept>

#include "marking.hpp"

namespace nb = nanobind;

namespace nightfold {

namespace {

std::vector<std::uint8_t> bytes(const std::vector<int>& numbers, int below) {
  std::vector<std::uint8_t> out;
  out.reserve(numbers.size());
  for (const int number : numbers) {
    if (number < 0 || number >= below) throw std::invalid_argument("a number is out of range");
    out.push_back(static_cast<std::uint8_t>(number));
  }
  return out;
}

TracedOrbit orbit_of(const std::vector<int>& seen, const std::vector<int>& piece, std::vector<std::uint32_t> beside,
                     int buffer) {
  const auto places = static_cast<int>(seen.size());
  if (places > 24 || piece.size() != seen.size() || beside.size() != seen.size())
    throw std::invalid_argument("an orbit of at most 24 stickers is needed");
  if (buffer < 0 || buffer >= places) throw std::invalid_argument("a number is out of range");
  TracedOrbit orbit{bytes(seen, places), bytes(piece, 12), std::move(beside), buffer};
  std::uint32_t met = 0;
  for (const std::uint8_t sticker : orbit.seen) met |= 1u << sticker;
  if (met != (1u << places) - 1) throw std::invalid_argument("every sticker must be seen once");
  return orbit;
}

std::vector<std::uint8_t> memo_of(const std::vector<int>& memo, std::size_t places) {
  if (memo.size() > 100) throw std::invalid_argument("a memo of at most 100 letters is needed");
  return bytes(memo, static_cast<int>(places));
}

nb::list stickers(const std::vector<std::uint8_t>& letters) {
  nb::list list;
  for (const std::uint8_t sticker : letters) list.append(static_cast<int>(sticker));
  return list;
}

}  // namespace

void bind_marking(nb::module_& m) {
  m.def(
      "explain_memo",
      [](const std::vector<int>& seen, const std::vector<int>& piece, std::vector<std::uint32_t> beside, int buffer,
         const std::vector<int>& memo, const std::vector<int>& weights, int most_cost, std::size_t most_moments) {
        const TracedOrbit orbit = orbit_of(seen, piece, std::move(beside), buffer);
        const std::vector<std::uint8_t> written = memo_of(memo, seen.size());
        if (weights.size() != kSlips) throw std::invalid_argument("a weight for every slip is needed");
        std::array<int, kSlips> costs{};
        std::copy(weights.begin(), weights.end(), costs.begin());
        Marked marked;
        {
          const nb::gil_scoped_release free;
          marked = explain(orbit, written, costs, most_cost, most_moments);
        }
        nb::list steps;
        for (const Step& step : marked.steps)
          steps.append(nb::make_tuple(static_cast<int>(step.slip), step.at, step.expected, stickers(step.right),
                                      step.astray, step.strays));
        return nb::make_tuple(steps, marked.cost, marked.right_letters, marked.gave_up);
      },
      nb::arg("seen"), nb::arg("piece"), nb::arg("beside"), nb::arg("buffer"), nb::arg("memo"), nb::arg("weights"),
      nb::arg("most_cost"), nb::arg("most_moments"));

  m.def(
      "nearest_memo",
      [](const std::vector<int>& seen, const std::vector<int>& piece, int buffer, const std::vector<int>& memo, int keep,
         int most_changes, std::size_t most_moments) -> nb::object {
        const TracedOrbit orbit = orbit_of(seen, piece, std::vector<std::uint32_t>(seen.size()), buffer);
        const std::vector<std::uint8_t> written = memo_of(memo, seen.size());
        Nearest found;
        {
          const nb::gil_scoped_release free;
          found = nearest(orbit, written, keep, most_changes, most_moments);
        }
        if (found.gave_up) return nb::none();
        return stickers(found.letters);
      },
      nb::arg("seen"), nb::arg("piece"), nb::arg("buffer"), nb::arg("memo"), nb::arg("keep"), nb::arg("most_changes"),
      nb::arg("most_moments"));
}

}  // namespace nightfold
