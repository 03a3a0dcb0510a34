// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <vector>

#include "fairhole/job/photo_files.h"
#include "fairhole/registration/fuse.h"
#include "fairhole/report/face_picture.h"

namespace fairhole::job {

inline constexpr double kPicturePixels = 1.2e6;

/// How a face is laid flat.
struct FlatView {
  Motion frame_from_world;                  ///< from the frame of the reading
  std::map<HoleId, HoleId> names;           ///< by the photographs' own; others get none
  std::vector<Eigen::Vector2d> outline_mm;  ///< of the part, in the frame; empty: about the holes
  std::vector<EdgeTie> edges;               ///< datum edges as found, in the reading's frame
  double most_pixels = kPicturePixels;
};

/// The photographs laid flat, with all that was found in them; title and source are left open.
FacePicture lay_flat(const PhotoFiles& files, const FlatView& view);

}  // namespace fairhole::job
