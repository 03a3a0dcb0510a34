// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/job/job.h"
#include "fairhole/photo/read_photos.h"
#include "fairhole/registration/fuse.h"

namespace fairhole::job {

/// The part's edges in the photographs that lie where the set's named datum edges must, as ties; what is
/// worth saying of each in words.
struct DatumEdges {
  std::vector<EdgeTie> ties;
  std::vector<std::string> words;
};
DatumEdges datum_edges_of(const Face& face, const PhotoSet& set,
                          const std::vector<photo::SeenPartEdge>& seen);

/// Two edges as seen that meet square, metal on the left of both, the end edge running into the corner: as
/// ties of a frame with its origin there and x along the long one.
std::vector<EdgeTie> corner_ties(const photo::PartEdge& long_edge, const photo::PartEdge& end_edge);

/// "The long datum edge is bowed 0.8 mm in this view, hollow."; empty where it is straight within its
/// accuracy.
std::string bow_words(const std::string& edge, const photo::PartEdge& seen);

/// What a worn corner adds to where an edge seems to lie, 1 sigma.
inline constexpr double kWornEdgeMm = 0.15;

}  // namespace fairhole::job
