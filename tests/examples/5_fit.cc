// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Limits of a fit (ISO 286: H7 at 22 mm is 0 to +21 um, k6 is +2 to +15 um), and of the shank for one bore as
// measured.
#include <fmt/format.h>

#include "fairhole/fits/fit.h"

int main() {
  using namespace fairhole;
  const auto request = parse_fit("22 H7/k6");
  if (!request) return exit_status(request.problems());
  const auto limits = fit_limits(*request);
  const auto shank = shank_for_bore(*request, 22.037, 0.0);
  if (!limits || !shank) return 1;
  fmt::print("hole  {:.3f} to {:.3f}\n", limits->hole->min_mm(), limits->hole->max_mm());
  fmt::print("shank {:.3f} to {:.3f}\n", limits->shaft->min_mm(), limits->shaft->max_mm());
  fmt::print("shank for a bore of 22.037: {:.3f} to {:.3f}\n", shank->min_mm(), shank->max_mm());

  const auto wrong = parse_fit("22 H7/h");  // what a user can cause is a value, not an exception
  if (!wrong) fmt::print("{}\n", code_name(wrong.problems().front().code));
}
