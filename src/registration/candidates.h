// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>
#include <vector>

#include "evidence.h"

namespace fairhole {

struct CandidateSet {
  std::vector<Candidate> candidates;  ///< of both hands, best evidence first, each place once
  /// log of the evidence of all that was found and not worth adjusting in full.
  double log_rest = -std::numeric_limits<double>::infinity();
  bool complete = true;
};

/// Every pose that may matter: by the holes alone, near the stated place, and by the pattern's own
/// symmetries.
CandidateSet find_candidates(const Scene& scene, const RegistrationKnown& known, const Registrar& registrar);

}  // namespace fairhole
