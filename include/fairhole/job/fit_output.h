// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "fairhole/fits/fit.h"
#include "fairhole/fits/interference.h"

/// What `fairhole fit` says, as text and as JSON.
namespace fairhole::job {

/// Where the fastener is to go: for the driving force. Nothing stated: a hole one diameter long, metal three
/// diameters across round it.
struct FitPlace {
  std::optional<double> length_mm;
  std::optional<double> outside_mm;
  Metal shaft;
  Metal hub;
};

/// `{"hole":{"min","max"},"shaft":{"min","max"},"clearance":{"min","max"}}` in mm; one class alone gives its
/// part.
std::string fit_json(const FitLimits& fit);
std::string fit_text(const FitLimits& fit, const FitPlace& place);

/// One bore as measured and the limits of its shank.
struct BoreAndShank {
  FitRequest request;
  double bore_mm = 0.0;
  double sigma_mm = 0.0;
  SizeLimits shank;
};
/// `{"bore","shank":{"min","max"}}` in mm.
std::string shank_json(const BoreAndShank& found);
std::string shank_text(const BoreAndShank& found, const FitPlace& place);

}  // namespace fairhole::job
