// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <nlohmann/json.hpp>

#include "fairhole/job/check_back.h"

namespace fairhole::job {

nlohmann::ordered_json outcome_json(const CheckBack& checked);

}  // namespace fairhole::job
