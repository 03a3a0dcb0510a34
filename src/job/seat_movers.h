// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/fairing/assembly.h"
#include "fairhole/job/job.h"

/// What contact and the parts' own stiffness leave of the seats' freedom (docs/fairing.md, "What moves
/// together").
namespace fairhole::job {

/// The movers of `seats` (those of the job's joints, in any order):
///  - a part with one jointed face moves as its play allows;
///  - the two legs of an angle share the slide along the heel;
///  - one face on two carriers, and faces that lie opposite each other, move as one;
///  - an old face that carries legs of several angles moves for all of them, and against all of their other
///  legs;
///  - angles that clasp one plate are moved sideways together.
/// Faces that are held together may still disagree by `slack_mm` (a shim, a dressed heel).
std::vector<Mover> seat_movers(const Job& job, const std::vector<SeatedFace>& seats, double slack_mm);

/// One sentence for each part whose jointed faces the job does not relate to each other.
std::vector<std::string> loose_faces(const Job& job);

}  // namespace fairhole::job
