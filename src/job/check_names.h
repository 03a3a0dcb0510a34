// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/job/job.h"

namespace fairhole::job {

/// Do the parts of the job fit each other? Names that are stated twice or that nothing has, faces that carry
/// each other in a ring, holes of one id on one carrier, holes off their plate. Needs a job that was read
/// without problems; all findings are returned.
Problems check_names(const Job& job);

}  // namespace fairhole::job
