// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Adjusts a 3-4-5 triangle and asks the job module to refuse a folder that is not there.
#include <cmath>
#include <cstdio>

#include "fairhole/job/load.h"
#include "fairhole/survey/readings.h"
#include "fairhole/survey/survey.h"

int main() {
  constexpr char kReadings[] =
      "kind,from,to,reading,sigma,note\n"
      "known-x,A,,0,0,\nknown-y,A,,0,0,\nknown-y,B,,0,0,\n"
      "along,B,,40,,\nalong,C,,40,,\nacross,C,,30,,\n"
      "centres,A,B,40,,\ncentres,B,C,30,,\ncentres,A,C,50,,\n";
  const auto readings = fairhole::parse_readings(kReadings, "triangle");
  if (!readings) return 1;
  const auto result = fairhole::adjust(*readings);
  if (!result) return 2;
  const auto* corner = result->face.find("C");
  if (corner == nullptr) return 3;
  constexpr double kExactMm = 1e-6;  // the readings agree, so the adjustment is the triangle itself
  if (std::hypot(corner->centre_mm.x() - 40.0, corner->centre_mm.y() - 30.0) > kExactMm) return 4;
  if (fairhole::job::load_job("/no/such/job")) return 5;
  std::puts("adjusted");
  return 0;
}
