// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "fairhole/schedule/schedule.h"

/// The schedule for spreadsheets (docs/formats/fasteners.md): comma separated, header row, mm.
namespace fairhole::job {

std::string csv_field(const std::string& text);       ///< in quotation marks where it must be
std::string csv_number(std::optional<double> value);  ///< empty for none

/// One row a stack.
std::string fasteners_csv(const FastenerSchedule& schedule);
/// One row a piece that the lathe makes.
std::string turning_csv(const FastenerSchedule& schedule);
std::string buying_csv(const FastenerSchedule& schedule);

}  // namespace fairhole::job
