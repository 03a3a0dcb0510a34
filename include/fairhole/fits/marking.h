// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fairhole {

/// What is scribed and punched for a hole. Common practice, no source.
struct PunchMarks {
  double pop_mm = 0.0;  ///< width of the centre pop: seats the first drill, so at least its web
  double witness_mm =
      0.0;  ///< circle that stays visible about the finished hole, to see whether it has run out
};

/// Pop: a quarter of the first drill (its web), between 1 and 3 mm. Witness circle: 3 mm over the finish up
/// to 12 mm, 6 mm over beyond, rounded up to a whole mm so that dividers can be set. Requires finite sizes
/// above 0 (asserted).
PunchMarks punch_marks(double finish_mm, double first_drill_mm);

}  // namespace fairhole
