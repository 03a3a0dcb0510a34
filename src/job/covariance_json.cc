// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "covariance_json.h"

#include <cmath>

namespace fairhole {

using Json = nlohmann::ordered_json;

Json number_json(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json covariance_json(const std::vector<HoleId>& ids, const Eigen::MatrixXd& covariance_mm2) {
  Json order = Json::array();
  for (const HoleId& id : ids) {
    order.push_back(id + ".x");
    order.push_back(id + ".y");
  }
  Json rows = Json::array();
  for (Eigen::Index i = 0; i < covariance_mm2.rows(); ++i) {
    Json row = Json::array();
    for (Eigen::Index j = 0; j < covariance_mm2.cols(); ++j) row.push_back(number_json(covariance_mm2(i, j)));
    rows.push_back(std::move(row));
  }
  return {{"order", std::move(order)}, {"mm2", std::move(rows)}};
}

}  // namespace fairhole
