// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/photo/picture.h"

/// The only place that knows OpenCV's marker dictionaries: which markers there are, how they look, and where
/// some stand in a picture, roughly.
namespace fairhole::photo {

struct DictionaryFacts {
  int count = 0;  ///< ids 0 .. count - 1
  int bits = 0;   ///< cells on a side within the black border of one cell
};
std::optional<DictionaryFacts> dictionary_facts(const std::string& name);
std::vector<std::string> dictionary_names();

/// bits x bits values from the top row down, true where paper shows.
std::vector<std::vector<bool>> marker_cells(const std::string& dictionary, int id);

/// Corners within about a pixel of the level they were found at: top left, top right, bottom right, bottom
/// left of the print.
struct RoughMarker {
  int id = 0;
  std::array<Eigen::Vector2d, 4> corners_px{};
  double error_px = 1.0;  ///< about how far off the corners may be
};

/// Looks for markers in ever finer pictures and stops at the first that shows some well. `mirrored`: looks at
/// the picture's mirror image instead (corners are then of no use).
std::vector<RoughMarker> search_markers(const Picture& picture, const std::string& dictionary,
                                        bool mirrored = false);

}  // namespace fairhole::photo
