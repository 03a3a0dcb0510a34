// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/fairing/plan.h"
#include "fairhole/report/report_html.h"
#include "join_stage.h"

/// The third stage of a run: stacks made, decided.
namespace fairhole::job {

/// Plates and stacks as the drawing has them, without layers; carriers in `spoiled` left out.
std::vector<PlateShape> plate_shapes(const Job& job, const std::set<std::string>& spoiled);
std::vector<Stack> empty_stacks(const Job& job, const std::set<std::string>& spoiled);

/// What the job says of single holes, and of a plate's pull when it is welded after drilling, put on an
/// assembly.
void apply_notes(const Job& job, Assembly& assembly);

/// The assembly that is to be faired: parts where their own holes ask them to be, and what may move them.
Result<Assembly> job_assembly(const Job& job, const Joined& joined);

struct Faired {
  Assembly assembly;
  Plan plan;
  std::vector<std::string> warnings;
  std::vector<std::string> open_loops;   ///< warnings too: closure_warnings of the parts as registered
  std::vector<MovingTogether> together;  ///< what one freedom moves, where that is more than one face
  std::vector<MoverAt> movers;
  Problems problems;
};
Faired fair(const Job& job, const Joined& joined);

}  // namespace fairhole::job
