// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/base/problem.h"
#include "fairhole/job/job.h"
#include "node.h"

/// Plates drilled clamped together.
namespace fairhole::job {

PlatesTogether read_pair(Node node);

/// Finds how the plates of each pair lie on each other: holes of one name come to lie on each other, mirrored
/// where the plates are of opposite hands. Problems: kJobPair, kJobNameUnknown.
Problems relate_pairs(Job& job);

}  // namespace fairhole::job
