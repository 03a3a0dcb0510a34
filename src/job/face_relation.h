// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "fairhole/geometry/pose.h"
#include "fairhole/job/job.h"

namespace fairhole::job {

/// Where face `from` of a part lies in the frame of its face `to`, seen through the part; nothing when the
/// job does not say.
std::optional<Motion> face_from_face(const Part& part, const std::string& to, const std::string& from);

}  // namespace fairhole::job
