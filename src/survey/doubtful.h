// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "datum.h"
#include "fairhole/pattern/slip.h"
#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// The tape readings that were kept, each as the slip it may be. With v its residual, r its redundancy, a its
/// partials: score v / sigma^2, information r / sigma^2, holes move by Q a' / sigma^2 for each mm. The share
/// of slips among readings is that of slips.h, as many readings being set aside here having been counted in
/// (a file of many slips hides more).
std::vector<DoubtfulReading> doubtful_readings(const Model& model, const Solution& s,
                                               const DatumChange& change, const Columns& columns);

}  // namespace fairhole::survey_detail
