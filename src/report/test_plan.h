// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <gtest/gtest.h>

#include "test_data.h"

/// An invented plan for the crane's left toe plate, with findings of every kind.
namespace fairhole::report::test {

inline LayerPlan old_layer(const std::string& part, const std::string& hole, const Eigen::Vector2d& misfit_mm,
                           double found_mm, double finish_mm, const std::string& action = "ream") {
  LayerPlan layer;
  layer.part = part;
  layer.face = "plate leg";
  layer.joint = part + " on plate";
  layer.hole = hole;
  layer.misfit_mm = misfit_mm;
  layer.centre_mm = misfit_mm;
  layer.found_diameter_mm = found_mm;
  layer.finish_diameter_mm = finish_mm;
  layer.centre_cov_mm2 << 0.012, 0.004, 0.004, 0.02;
  layer.thickness_mm = 12.7;
  layer.action = action;
  return layer;
}

inline StackPlan stack(const std::string& id, Method method, double finish_mm,
                       std::vector<LayerPlan> layers) {
  StackPlan plan;
  plan.id = id;
  plan.plate = "toe plate, left";
  plan.group = "corner";
  plan.method = method;
  plan.state = State::kSettled;
  plan.finish_diameter_mm = finish_mm;
  plan.finish = Finish::kInPlace;
  plan.fastener = "rivet-headed fitted bolt 7/8 in";
  plan.odds = 0.97;
  LayerPlan plate;
  plate.new_plate = true;
  plate.finish_diameter_mm = finish_mm;
  plate.pilot_diameter_mm = finish_mm - 2.2;
  plate.action = "pilot, then ream in place";
  plan.layers.push_back(plate);
  plan.layers.insert(plan.layers.end(), layers.begin(), layers.end());
  return plan;
}

inline Plan crane_plan() {
  const std::string near = "corner angle, near";
  const std::string far = "corner angle, far";
  Plan plan;
  plan.seats = toe_seats("toe plate, left");
  auto a1 = stack(
      "A1", Method::kOpenOut, 22.225,
      {old_layer(near, "1", {0.42, 0.31}, 20.9, 22.225), old_layer(far, "1", {-0.35, -0.28}, 21.2, 22.225)});
  a1.reason = "Open out to 7/8 in. The two angles' holes are 1.0 mm apart; one size up cleans both.";
  a1.ruled_out = "A 13/16 in bolt does not pass: the holes overlap by 20.0 mm only.";
  auto a2 = stack(
      "A2", Method::kOpenOut, 22.225,
      {old_layer(near, "2", {1.35, -0.4}, 20.8, 22.225), old_layer(far, "2", {-0.2, 0.1}, 20.8, 22.225)});
  a2.state = State::kLookAgain;
  a2.layers[1].state = State::kLookAgain;
  a2.odds = 0.41;
  a2.reason = "The near angle's hole is torn; 7/8 in may leave a crescent.";
  a2.ruled_out = "Nothing smaller comes near.";
  auto a3 = stack("A3", Method::kPlug, 20.6375,
                  {old_layer(near, "3", {6.2, 3.9}, 20.8, 20.6375, "plug and re-drill"),
                   old_layer(far, "3", {0.1, 0.2}, 20.5, 20.6375)});
  a3.reason = "The near angle's hole is 7.3 mm off; no reamer at hand covers both.";
  a3.ruled_out = "Opening out would need 28.2 mm; the edge allows 24.";
  auto a4 = stack("A4", Method::kOpenOut, 23.8125, {old_layer(near, "4", {0.3, -0.5}, 21.9, 23.8125)});
  a4.layers[1].ovality_mm = 1.1;
  a4.layers[1].ovality_axis_rad = 0.6;
  a4.state = State::kPinned;
  a4.reason = "Pinned at 15/16 in.";
  auto b1 = stack("B1", Method::kClear, 20.6375,
                  {old_layer("winch bracket", "1", {0.5, 0.2}, 22.4, 22.4, "leave")});
  b1.finish = Finish::kBench;
  b1.fastener = "clearance bolt 3/4 in";
  b1.reason = "The bolt passes with 0.6 mm to spare.";
  auto b2 = stack("B2", Method::kTransfer, 20.6375,
                  {old_layer("winch bracket", "2", {0.0, 0.0}, 20.6, 20.6375, "leave")});
  b2.reason = "One old hole: the new plate takes it as it is.";
  auto c1 = stack("C1", Method::kDrillToDrawing, 20.6375, {});
  c1.odds = 0.9996;
  c1.reason = "No old part has a hole here.";
  plan.stacks = {a1, a2, a3, a4, b1, b2, c1};
  plan.odds = 0.36;
  plan.cost = 42.0;
  plan.bound = 40.5;
  plan.warnings = {"The near angle stands at the end of its play."};
  return plan;
}

inline FaceFindings near_face(std::uint64_t seed = 3) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  FaceFindings face;
  face.part = "corner angle, near";
  face.face = "plate leg";
  face.source = "readings/near.csv";
  for (int i = 0; i < 5; ++i) {
    MeasuredHole hole;
    hole.id = fmt::format("{}", i + 1);
    hole.centre_mm = {57.2 + 0.6 * normal(random), 63.5 + 73.0 * i + 0.6 * normal(random)};
    hole.centre_cov_mm2 << 0.03, 0.005, 0.005, 0.06;
    hole.diameter_mm = 20.9 + 0.3 * i;
    hole.diameter_sigma_mm = 0.05;
    face.measured.holes.push_back(hole);
  }
  face.measured.holes[3].ovality_mm = 1.1;
  face.measured.holes[1].form = HoleForm::kTorn;
  for (int row = 1; row <= 12; ++row) {
    ReadingFinding reading;
    reading.row = row;
    reading.text =
        fmt::format("{} to {}, {} mm", row % 2 == 0 ? "along" : "across", (row + 1) / 2, 60 + 35 * row);
    reading.w = normal(random);
    reading.residual_mm = 0.3 * *reading.w;
    reading.redundancy = 0.45;
    reading.mdb_mm = 1.7;
    face.readings.push_back(reading);
  }
  face.readings[6].residual_mm = -99.6;
  face.readings[6].w = -210.0;
  face.readings[6].rejected = true;
  face.readings[6].slip = "the tape was started at its 100 mm mark and the 100 mm not taken off";
  face.readings[6].slip_odds = 0.98;
  face.readings[11].redundancy = 0.0;
  face.readings[11].w.reset();
  face.readings[11].mdb_mm.reset();
  face.next = {{"hole 1 to hole 5, over centres", 0.31}};
  face.dof = 7;
  face.chi2_p = 0.44;
  face.remarks = {"The corner is 0.4 degree over square."};
  return face;
}

inline JointFindings near_joint() {
  JointFindings joint;
  const SeatPlan seat = crane_plan().seats[0];
  joint.part = seat.part;
  joint.face = seat.face;
  joint.joint = seat.joint;
  joint.plate = seat.plate;
  joint.measured = near_face().measured;
  for (int i = 0; i < 6; ++i)
    joint.pattern.push_back({fmt::format("{}", i + 1), {57.2, 63.5 + 73.0 * i}, 20.6375});
  joint.registration.pose_cov = Eigen::Vector3d(0.03, 0.03, 1e-6).asDiagonal();
  for (int i = 0; i < 5; ++i) {
    const HoleId id = fmt::format("{}", i + 1);
    joint.registration.matches.push_back(
        {id, id, joint.measured.find(id)->centre_mm - joint.pattern[static_cast<std::size_t>(i)].centre_mm,
         0.99});
  }
  joint.registration.missing = {"6"};
  MeasuredHole extra;
  extra.id = "X1";
  extra.centre_mm = {90.0, 160.0};
  joint.measured.holes.push_back(extra);
  joint.registration.extra = {"X1"};
  joint.registration.scatter_mm = 0.62;
  joint.remarks = {"The angle is still bowed 1.2 mm."};
  return joint;
}

inline ReportInput crane_report() {
  ReportInput input;
  input.title = crane_title();
  input.plan = crane_plan();
  input.layouts = {toe_plate("LEFT"), toe_plate("RIGHT")};
  input.faces = {near_face()};
  input.joints = {near_joint()};
  input.warnings = {"The winch bracket's second hole was measured once only."};
  input.way_of_drilling = "marked out by hand";
  input.files = {{"toe-left-sheet.pdf", "drilling sheet, left toe plate"},
                 {"toe-left.dxf", "for the laser or the mill"}};
  return input;
}

/// The report's page; empty, and a failure, when there is none.
inline std::string report_of(const ReportInput& input) {
  auto html = report_html(input);
  EXPECT_TRUE(html);
  return html ? *html : "";
}

}  // namespace fairhole::report::test
