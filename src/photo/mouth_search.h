// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "rim_model.h"
#include "ring_search.h"

namespace fairhole::photo {

/// A mouth guessed from the rings: good enough to start the fit.
struct MouthGuess {
  Mouth mouth;
  double bore_cover = 0.0;
  double rim_cover = 0.0;  ///< 0 without a chamfer of its own edge
  double score = 0.0;
};

/// Where the circle of radius `radius_mm` about `centre_mm` that an edge at `depth_mm` below the face appears
/// as, laid on the face, really is: on the line to the camera. Returns the factor by which offsets from the
/// camera's foot and lengths grow.
double depth_factor(const View& view, double depth_mm);

/// The mouth whose bore's edge appears as the ring.
Mouth mouth_of(const View& view, const Ring& bore, double width_mm, double depth_mm);

/// Guesses, the best first: each ring as the bore's edge, alone and with the best rim outside it. The bore's
/// edge and the rim share an axis, so a rim of given width can lie only on the line towards the camera's
/// foot; that is what tells it from the far end of the bore, from shadows and from its neighbours.
std::vector<MouthGuess> guess_mouths(const View& view, const RayEdges& rays, const std::vector<Ring>& rings);

}  // namespace fairhole::photo
