// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "fairhole/survey/survey.h"
#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// Greedy design over the readings a person could take: ordinates from the datum edges, centres between
/// holes. Each next one shrinks the largest 95 % half axis of all holes most, the ones before it being taken
/// too; the rank-one update Q' = Q - Qa a'Q / (sigma^2 + a'Qa) tells without adjusting again. In nets of more
/// than 40 holes only readings that touch the worst hole are looked at. Only for nets with a datum: of a
/// shape alone nothing is proposed.
std::vector<NextReading> next_readings(const Model& model, const Columns& columns, const Solution& s,
                                       int count);

}  // namespace fairhole::survey_detail
