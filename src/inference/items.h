// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "questions.h"

namespace fairhole::inference {

/// Rows, grids and circles with the round values found, holes lettered A1, A2, ... and told which is which.
/// `ids`: of the faces' holes.
std::vector<InferredItem> make_items(const Structure& structure, const ItemNumbers& numbers,
                                     const std::vector<FaceView>& faces,
                                     const std::vector<std::vector<HoleId>>& ids, const Answers& answers);

}  // namespace fairhole::inference
