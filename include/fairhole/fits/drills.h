// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/base/result.h"

namespace fairhole {

enum class ToolKind { kPilot, kStepDrill, kFinalDrill, kReamer };
const char* tool_name(ToolKind kind);  ///< "pilot", "step drill", "final drill", "reamer"

/// One pass of the drill chain.
struct DrillStep {
  ToolKind tool = ToolKind::kPilot;
  double diameter_mm = 0.0;
  std::string name;  ///< as stamped on the tool: "13/16 in", "20.5 mm"
};

}  // namespace fairhole
