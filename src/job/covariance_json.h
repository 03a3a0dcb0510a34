// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <nlohmann/json.hpp>
#include <vector>

#include "fairhole/pattern/hole.h"

namespace fairhole {

/// `{"order":["H1.x","H1.y",...],"mm2":[[...]]}` over all holes.
nlohmann::ordered_json covariance_json(const std::vector<HoleId>& ids, const Eigen::MatrixXd& covariance_mm2);

/// null for NaN and infinity.
nlohmann::ordered_json number_json(double value);

}  // namespace fairhole
