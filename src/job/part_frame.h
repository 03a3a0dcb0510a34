// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/job/photo_files.h"
#include "fairhole/registration/fuse.h"

namespace fairhole::job {

/// What carried a reading into the part's frame.
struct PartFrame {
  Motion frame_from_world;
  std::vector<EdgeTie> edges = {};      ///< in the world
  std::vector<std::string> words = {};  ///< checks, and which edges were taken
};

/// Carries `files.reading` into the frame of the part's own edges: x along the longest straight edge at whose
/// left end another meets it square (metal to the left), origin where they meet. Problems: kPhotoNoEdges.
Result<PartFrame> frame_by_edges(PhotoFiles& files);

/// The same with the origin at hole `origin`, x towards hole `along`. Problems: kPhotoDatum.
Result<PartFrame> frame_by_holes(PhotoFiles& files, const HoleId& origin, const HoleId& along);

}  // namespace fairhole::job
