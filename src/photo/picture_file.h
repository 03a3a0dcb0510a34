// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "fairhole/base/result.h"
#include "fairhole/photo/picture.h"

/// What a picture file says of itself before it is unpacked.
namespace fairhole::photo {

enum class PictureFormat { kJpeg, kPng, kTiff, kHeic };

struct PictureFacts {
  PictureFormat format = PictureFormat::kJpeg;
  long width_px = 0;  ///< as stored, before turning
  long height_px = 0;
  int orientation = 1;      ///< EXIF: 1 upright ... 8
  bool sound = true;        ///< the file's own checks agree with its data
  bool four_inks = false;   ///< a JPEG saved for printing
  std::string_view exif{};  ///< its EXIF block from the TIFF header on, or empty; part of the file's bytes
};

/// Reads the header alone. Problems: kPictureUnknown, kPictureCutOff, kPictureTooLarge.
Result<PictureFacts> look_at_file(std::string_view bytes, const std::string& name);

/// Orientation (1 when there is none), focal length and camera of an EXIF block. `long_side_px` and
/// `short_side_px` of the whole picture turn the focal length into pixels.
struct ExifFacts {
  int orientation = 1;
  std::optional<FocalHint> focal;
  std::string camera;
};
ExifFacts read_exif(std::string_view exif, long long_side_px, long short_side_px);

/// kPictureTooLarge beyond kLargestMegapixels.
std::optional<Problem> too_large(long width_px, long height_px, const std::string& name);

/// Decoded luma of a JPEG file as stored; absent where its data are damaged, for a decoder fills that with
/// grey.
struct GreyJpeg {
  int width_px = 0, height_px = 0;
  std::vector<std::uint8_t> grey;  ///< tone-curved values
};
std::optional<GreyJpeg> decode_jpeg(std::string_view bytes);

/// Decoded grey of a HEIC file, upright already (its own turns are obeyed by its decoder).
struct GreyHeic {
  int width_px = 0, height_px = 0;
  std::vector<std::uint16_t> grey;  ///< tone-curved values, 0..65535
  std::string exif;                 ///< from the TIFF header on
};
Result<GreyHeic> decode_heic(std::string_view bytes, const std::string& name);

}  // namespace fairhole::photo
