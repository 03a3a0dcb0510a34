// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/fasteners/lists.h"

#include <fmt/format.h>

#include <cmath>
#include <map>
#include <tuple>

namespace fairhole::fasteners {
namespace {

bool off_the_shelf(const BoltDesign& design) { return design.stock && !design.stock->thread_in_layer; }

Result<Bar> bar_for(const BoltDesign& design, const Catalogue& catalogue) {
  const double head_mm = design.hexagon ? design.across_corners_mm : design.head.diameter_mm + kCleanUpMm;
  return bar_from(catalogue, BarShape::kRound, head_mm);
}

std::string head_word(HeadForm form) {
  return form == HeadForm::kSnap ? "snap" : form == HeadForm::kPan ? "pan" : "countersunk";
}

std::string washer_word(const BoltDesign& design) {
  const std::string outside =
      design.nut_washer_outside_mm > 0.0 ? fmt::format(" x {:.4g}", design.nut_washer_outside_mm) : "";
  return fmt::format("washer {:.4g}{} x {:.4g} mm{}", design.nut_washer_hole_mm, outside,
                     design.nut_washer_mm, design.washer_made ? ", to be made" : "");
}

}  // namespace

std::string batch_of(const BoltDesign& design) {
  return fmt::format("{}, {}, head {:.4g} x {:.4g} mm", kind_name(design.kind), design.thread.name(),
                     design.head.diameter_mm, design.head.height_mm);
}

Result<std::vector<TurningLine>> turning_list(const std::vector<BoltDesign>& designs, double turning_mm,
                                              const Catalogue& catalogue) {
  std::vector<ShankNeed> needs;
  std::vector<const BoltDesign*> made;
  for (const BoltDesign& design : designs) {
    if (off_the_shelf(design)) continue;
    made.push_back(&design);
    // A clearance bolt's shank is its nominal size; it asks for no band.
    SizeLimits shank = design.shank;
    if (design.kind == Kind::kClearanceBolt)
      shank.min_nm = std::min(shank.min_nm, shank.max_nm - nanometres(turning_mm));
    needs.push_back({design.stack, shank, batch_of(design)});
  }
  const Result<std::vector<ShankGroup>> groups = group_shanks(needs, turning_mm);
  if (!groups) return groups.problems();

  std::vector<TurningLine> lines;
  for (std::size_t g = 0; g < groups->size(); ++g) {
    std::map<std::tuple<double, double, double, bool>, std::size_t> line_of;  // shank, length, flat, nut
    for (const std::size_t i : (*groups)[g].needs) {
      const BoltDesign& design = *made[i];
      const auto key = std::make_tuple(design.shank_mm, design.length_mm,
                                       design.flat_from_axis_mm.value_or(0.0), design.into_thread);
      if (const auto found = line_of.find(key); found != line_of.end()) {
        lines[found->second].stacks.push_back(design.stack);
        continue;
      }
      const Result<Bar> bar = bar_for(design, catalogue);
      if (!bar) return bar.problems();
      line_of.emplace(key, lines.size());
      lines.push_back({{design.stack},
                       design,
                       (*groups)[g].shank,
                       g,
                       *bar,
                       design.head.height_mm + design.length_mm + kFacingAndPartingMm});
      lines.back().design.shank = (*groups)[g].shank;
    }
  }
  return lines;
}

std::vector<BuyingLine> buying_list(const std::vector<TurningLine>& turning,
                                    const std::vector<BoltDesign>& designs,
                                    const std::vector<RivetDesign>& rivets, const BoltRules& rules) {
  std::map<std::string, double> bar_mm;
  std::map<std::string, int> pieces;
  for (const TurningLine& line : turning)
    bar_mm["round bar " + line.bar.name] += line.piece_mm * static_cast<double>(line.stacks.size());
  for (const BoltDesign& design : designs) {
    if (!design.into_thread) {
      ++pieces["nut " + design.thread.name()];
      if (rules.lock_nut) ++pieces["lock-nut " + design.thread.name()];
      ++pieces[washer_word(design)];
    }
    if (design.head_washer_mm > 0.0)
      ++pieces[fmt::format("washer under the head {:.4g} x {:.4g} mm{}", design.head_washer_hole_mm,
                           design.head_washer_mm, design.head_washer_made ? ", to be made" : "")];
    if (off_the_shelf(design))
      ++pieces[fmt::format("bolt {} x {:.4g} mm", design.thread.name(), design.stock->length_mm)];
  }
  for (const RivetDesign& rivet : rivets) {
    ++pieces[fmt::format("rivet {:.4g} x {:.4g} mm, {} head", rivet.rivet_mm, rivet.length_mm,
                         head_word(rivet.made_head.form))];
  }
  std::vector<BuyingLine> lines;
  for (const auto& [what, length_mm] : bar_mm)
    lines.push_back({what, static_cast<int>(std::ceil(length_mm)), true});
  for (const auto& [what, count] : pieces) lines.push_back({what, count, false});
  return lines;
}

}  // namespace fairhole::fasteners
