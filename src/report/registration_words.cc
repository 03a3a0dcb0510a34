// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "registration_words.h"

#include <fmt/format.h>

#include "fairhole/base/length.h"
#include "fairhole/geometry/statistics.h"
#include "fairhole/report/registration_picture.h"
#include "words.h"
#include "work_order.h"

namespace fairhole::report {
std::optional<WorstHole> worst_hole(const JointFindings& joint) {
  std::optional<WorstHole> worst;
  for (const NominalHole& hole : joint.pattern) {
    const double half_axis =
        confidence_ellipse(posed_covariance(joint.registration, hole.centre_mm)).major_mm;
    if (!worst || half_axis > worst->half_axis_mm) worst = WorstHole{hole.id, half_axis};
  }
  return worst;
}

std::vector<std::string> registration_words(const JointFindings& joint, const SeatPlan* seat) {
  const Registration& found = joint.registration;
  std::vector<std::string> words;
  words.push_back(fmt::format("{} of {} found.", count_words(found.matches.size(), "hole", "holes"),
                              joint.pattern.size()));
  if (!joint.pins.empty()) {
    std::vector<std::string> pinned;
    for (const PinnedPair& pin : joint.pins)
      pinned.push_back(fmt::format("{} is {}", pin.measured, pin.nominal));
    words.push_back(fmt::format("Pinned in the job: {} of the drawing.", list_words(pinned)));
  }
  if (!found.missing.empty()) words.push_back(fmt::format("Missing: {}.", list_words(found.missing)));
  if (!found.extra.empty()) {
    words.push_back(
        fmt::format("Not on the drawing: {}; from an old repair, most likely.", list_words(found.extra)));
  }
  if (found.face_from_pattern.motion.mirrored)
    words.emplace_back("Seen from its back: the drawing is mirrored.");
  if (seat != nullptr) {
    const int decimals = decimals_for(kSettingSigmaMm);
    const std::string along = signed_mm(seat->along_mm, decimals);
    const std::string across = signed_mm(seat->across_mm, decimals);
    words.push_back(
        fmt::format("From the seat that the job asks for it is {} mm in x and {} mm in y; turned: {}.", along,
                    across, turn_words(*seat)));
    if (seat->at_limit) {
      words.emplace_back(joint.seat_pinned ? "By its own holes it would stand elsewhere."
                                           : "By its own holes it would stand beyond its play.");
    }
  }
  if (!found.settled_by_place.empty()) {
    words.push_back(fmt::format("By its holes alone it could also lie {}; where its seat is settles it.",
                                found.settled_by_place.front().how));
  }
  if (const auto worst = worst_hole(joint)) {
    words.push_back(
        fmt::format("Where its holes should be is known to {} mm at the worst, at hole {} (95 in 100).",
                    format_mm(worst->half_axis_mm, decimals_for(0.25 * worst->half_axis_mm)), worst->hole));
  }
  if (found.scatter_mm > 0.0) {
    words.push_back(
        fmt::format("Its old holes stray about {} mm from the drawing.", format_mm(found.scatter_mm, 1)));
  }
  if (found.independent_holes) {
    words.emplace_back("The readings came without their correlations: the holes were taken as independent.");
  }
  if (joint.distortion) {
    for (std::string& says : distortion_words(*joint.distortion, joint.distortion_names))
      words.push_back(std::move(says));
  }
  words.insert(words.end(), joint.remarks.begin(), joint.remarks.end());
  return words;
}

}  // namespace fairhole::report
