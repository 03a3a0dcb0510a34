// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "questions.h"
#include "structure.h"

namespace fairhole::inference {

/// Lays a second face of the same drawing over the structure seen in the first: mirrored when it is of the
/// other hand, turn taken off, shifted along x when it was measured from its other end. Its holes join the
/// lines they lie on, as members of face 1. None when less than half of them find a place.
std::optional<FaceView> lay_second_face(Structure& structure, FaceView second, bool mirrored,
                                        double turn_sigma_rad);

}  // namespace fairhole::inference
