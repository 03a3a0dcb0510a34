// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/inspection/inspection.h"

namespace fairhole {

/// A check of a drilled plate, to be signed and kept.
struct InspectionRecord {
  struct Reading {
    int row = 0;
    std::string text;
    double residual_mm = 0.0;
    bool rejected = false;
    std::string slip;
  };
  std::string job, date;  ///< no date: a line to write it on
  Inspection inspection;
  std::vector<Reading> readings;
  std::string plan_name, plan_hash, measured_name, measured_hash, seal;
};

/// A4 pages: outcome, every hole with its remedy, final shanks, readings (those set aside first), the rule by
/// which it was decided, hashes, and where to sign.
std::vector<drawing::Page> record_sheets(const InspectionRecord& record);

}  // namespace fairhole
