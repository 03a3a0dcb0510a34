// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Tape readings to hole places, with a slip found. The holes stand at (40,30), (340,30) and (340,430): sides
// of 300, 400 and 500 mm. One reading was taken with the tape started at its 100 mm mark.
#include <fmt/format.h>

#include "fairhole/survey/readings.h"
#include "fairhole/survey/survey.h"

int main() {
  constexpr char kReadings[] =
      "kind,from,to,reading,sigma,note\n"
      "along,A,,40,,\nacross,A,,30,,\nalong,B,,440,,\nacross,B,,30,,\n"
      "along,C,,340,,\nacross,C,,430,,\n"
      "centres,A,B,300,,\ncentres,B,C,400,,\ncentres,A,C,500,,\n";
  const auto readings = fairhole::parse_readings(kReadings, "triangle.csv");
  if (!readings) return fairhole::exit_status(readings.problems());
  const auto result = fairhole::adjust(*readings);
  if (!result) return fairhole::exit_status(result.problems());

  for (const auto& hole : result->face.holes)
    fmt::print("{} at {:.1f}, {:.1f}\n", hole.id, hole.centre_mm.x(), hole.centre_mm.y());
  for (const auto& reading : result->readings)
    if (reading.rejected && reading.slip) fmt::print("row {}: {}\n", reading.row, reading.slip->name);
}
