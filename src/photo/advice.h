// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <vector>

#include "bundle.h"

namespace fairhole::photo {

/// What a fitter should know of the fit, in his words: boards partly hidden or overexposed, prints that do
/// not lie flat, check bars that disagree with the pictures, a focal length that the pictures leave open,
/// bars that nobody read.
std::vector<std::string> advise(std::span<const Board> boards, std::span<const BoardSights> sights,
                                const BundleInput& input, const Bundle& bundle,
                                const AdjustedPhotos& adjusted);

}  // namespace fairhole::photo
