// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "layout_stage.h"

namespace fairhole::job {

Result<std::vector<PlateLayout>> lay_out_plates(const Job&, const std::set<std::string>&, const Plan&,
                                                const Outputs&) {
  return std::vector<PlateLayout>{};
}

}  // namespace fairhole::job
