// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "datum.h"
#include "fairhole/survey/survey.h"
#include "model.h"
#include "solver.h"

namespace fairhole::survey_detail {

/// Greedy optimal design: the reading that shrinks the largest 95 % half axis of any hole most, then the next
/// one with that taken too. Candidates: along and across of every hole (where there is a datum), centres
/// between any two holes, or, beyond kMostPairHoles holes, from the worst hole to any other, of which the
/// kMostTried that may help the worst hole most are tried. `face`: the holes' covariances as laid down. Among
/// equals the one that helps the worst hole itself.
std::vector<NextReading> propose_next(const Model& model, const Columns& columns, const Solution& solution,
                                      const DatumChange& change, const MeasuredFace& face, bool datum,
                                      int count);

inline constexpr int kMostPairHoles = 60;
inline constexpr int kMostTried = 200;

}  // namespace fairhole::survey_detail
