// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "bundle.h"

namespace fairhole::photo {

/// Pixels are square to a thousandth in every phone and camera; a picture that was scaled one way has lost
/// its measure. A problem (kPhotoStretched) where the boards say so well beyond their own uncertainty.
/// `bundle` is settled but for this.
std::optional<Problem> stretched(const BundleInput& input, Bundle bundle);

}  // namespace fairhole::photo
