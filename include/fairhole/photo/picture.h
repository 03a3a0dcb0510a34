// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/result.h"

/// A photograph as light: grey, linear (the tone curve of sRGB undone), turned upright once. Blur acts in
/// linear light; an edge measured in the file's own values stands up to 0.4 px too far to the dark side.
namespace fairhole::photo {

/// What a picture's EXIF block says of its focal length.
struct FocalHint {
  double focal_px = 0.0;
  double sigma_ratio = 0.0;  ///< 1-sigma of ln(focal): rounding and the several meanings of the tag
};

struct Picture {
  std::string name;  ///< what messages call it: the file's name
  int width_px = 0;
  int height_px = 0;
  std::vector<float> light;  ///< width * height values, row by row from the top, 0 black to 1 white, linear
  std::optional<FocalHint> focal;
  std::string camera;  ///< maker, model and lens setting; pictures of one text and size share their lens

  float at(int x, int y) const {
    return light[static_cast<std::size_t>(y) * static_cast<std::size_t>(width_px) +
                 static_cast<std::size_t>(x)];
  }
  bool holds(double x, double y, double margin_px) const {
    return x >= margin_px && y >= margin_px && x <= width_px - 1 - margin_px &&
           y <= height_px - 1 - margin_px;
  }
  /// Between the pixels (bilinear); the point must lie inside the picture.
  double between(double x, double y) const;
};

/// The largest picture that is decoded; read from the file's header before anything is unpacked.
inline constexpr double kLargestMegapixels = 200.0;

/// Reads JPEG, PNG, TIFF or HEIC, told by the bytes and not by the name; 8 or 16 bit, grey or colour. The
/// orientation tag is obeyed once, here. `bytes` is the whole file. Problems: kPictureUnknown,
/// kPictureCutOff, kPictureTooLarge, kPictureDark, kPictureBroken.
Result<Picture> decode_picture(std::string_view bytes, const std::string& name);

namespace codes {
inline constexpr Code kPictureUnknown{340};   ///< no picture file that is known here
inline constexpr Code kPictureCutOff{341};    ///< the file ends before the picture does
inline constexpr Code kPictureTooLarge{342};  ///< more than kLargestMegapixels
inline constexpr Code kPictureBroken{343};    ///< its decoder refuses it
inline constexpr Code kPictureDark{640};      ///< nothing is lit in it
}  // namespace codes

}  // namespace fairhole::photo
