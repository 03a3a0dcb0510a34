// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "head_picture.h"

#include <cmath>
#include <numbers>

#include "pen.h"

namespace fairhole::report {

void draw_rivet_head(drawing::Drawing& on, const Eigen::Vector2d& seat_mm, double scale,
                     const fasteners::HeadSize& head, double shank_mm, double outwards,
                     const drawing::Stroke& stroke) {
  const double rim = scale * head.diameter_mm / 2.0, high = scale * head.height_mm * outwards;
  const double x = seat_mm.x(), y = seat_mm.y();
  line(on, {x, y - rim}, {x, y + rim}, stroke);
  if (head.form == HeadForm::kSnap) {
    const double radius = scale * fasteners::form_radius_mm(head);
    const double behind = radius - std::abs(high);  // of the seat lies the sphere's centre
    const double half = std::atan2(rim, behind);    // beyond a right angle for a head over a half sphere
    const double middle = outwards > 0.0 ? 0.0 : std::numbers::pi;
    on.add(drawing::Arc{{x - outwards * behind, y}, radius, middle - half, middle + half}, stroke);
    return;
  }
  const double top = scale * shank_mm / 2.0;
  const double end = head.form == HeadForm::kCountersunk ? x - high : x + high;
  for (const double side : {1.0, -1.0}) line(on, {x, y + side * rim}, {end, y + side * top}, stroke);
  if (head.form == HeadForm::kPan) line(on, {end, y - top}, {end, y + top}, stroke);
}

}  // namespace fairhole::report
