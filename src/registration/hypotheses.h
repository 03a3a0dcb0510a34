// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "adjust.h"
#include "evidence.h"
#include "fairhole/registration/registration.h"

namespace fairhole {

/// Starting poses inside the prior (5 sigma): the prior itself, and every pose that carries two nominal holes
/// onto two measured ones. The best `most` by the gain of their gated pairs, best first, poses that agree
/// within the scatter given once. When there are more pairs of pairs than `kMostTried`, the measured pairs
/// farthest apart go first.
std::vector<Motion> pose_hypotheses(const PointSets& points, const PosePrior& prior,
                                    const Registrar& registrar, const HoleOdds& odds, int most);

}  // namespace fairhole
