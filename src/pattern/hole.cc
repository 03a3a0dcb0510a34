// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/pattern/hole.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <utility>

namespace fairhole {
namespace {

constexpr std::array<std::pair<HoleForm, const char*>, 10> kForms{{{HoleForm::kThrough, "through"},
                                                                   {HoleForm::kTapped, "tapped"},
                                                                   {HoleForm::kBlind, "blind"},
                                                                   {HoleForm::kSlotted, "slotted"},
                                                                   {HoleForm::kCountersunk, "countersunk"},
                                                                   {HoleForm::kBushed, "bushed"},
                                                                   {HoleForm::kDowel, "dowel"},
                                                                   {HoleForm::kRivetIn, "rivet-in"},
                                                                   {HoleForm::kPlugged, "plugged"},
                                                                   {HoleForm::kTorn, "torn"}}};

}  // namespace

const char* form_name(HoleForm form) {
  const auto* const found =
      std::find_if(kForms.begin(), kForms.end(), [form](const auto& entry) { return entry.first == form; });
  assert(found != kForms.end());
  return found->second;
}

std::optional<HoleForm> form_from_name(const std::string& name) {
  for (const auto& [form, form_text] : kForms) {
    if (name == form_text) return form;
  }
  return std::nullopt;
}

const MeasuredHole* MeasuredFace::find(const HoleId& id) const {
  const auto found =
      std::find_if(holes.begin(), holes.end(), [&id](const MeasuredHole& hole) { return hole.id == id; });
  return found == holes.end() ? nullptr : &*found;
}

Eigen::MatrixXd MeasuredFace::full_covariance_mm2() const {
  if (covariance_mm2.size() > 0) return covariance_mm2;
  const auto count = static_cast<Eigen::Index>(holes.size());
  Eigen::MatrixXd blocks = Eigen::MatrixXd::Zero(2 * count, 2 * count);
  for (Eigen::Index i = 0; i < count; ++i) {
    blocks.block<2, 2>(2 * i, 2 * i) = holes[static_cast<std::size_t>(i)].centre_cov_mm2;
  }
  return blocks;
}

}  // namespace fairhole
