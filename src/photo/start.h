// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

#include "bundle.h"

namespace fairhole::photo {

/// Values near enough for the adjustment: every picture by itself over the board it shows best, from several
/// focal lengths and both poses that a plane allows, the best kept; then pictures and boards hung together
/// from the frame board on. Priors are set, too. Problems: kPhotoHalfBoard, kPhotoFrame, kPhotoApart,
/// kPhotoNotSettled.
Result<Bundle> start_bundle(std::span<const Board> boards, std::span<const BoardSights> sights,
                            const PhotoOptions& options);

}  // namespace fairhole::photo
