// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <libexif/exif-data.h>

#include <cmath>
#include <memory>

#include "picture_file.h"

namespace fairhole::photo {
namespace {

using Data = std::unique_ptr<ExifData, decltype(&exif_data_unref)>;

ExifEntry* find(ExifData* data, ExifTag tag) {
  for (ExifContent* content : data->ifd)
    if (ExifEntry* entry = exif_content_get_entry(content, tag)) return entry;
  return nullptr;
}

double number(ExifData* data, ExifTag tag) {
  const ExifEntry* entry = find(data, tag);
  if (entry == nullptr) return 0.0;
  const ExifByteOrder order = exif_data_get_byte_order(data);
  if (entry->format == EXIF_FORMAT_SHORT && entry->size >= 2) return exif_get_short(entry->data, order);
  if (entry->format == EXIF_FORMAT_LONG && entry->size >= 4) return exif_get_long(entry->data, order);
  if (entry->format == EXIF_FORMAT_RATIONAL && entry->size >= 8) {
    const ExifRational ratio = exif_get_rational(entry->data, order);
    return ratio.denominator == 0
               ? 0.0
               : static_cast<double>(ratio.numerator) / static_cast<double>(ratio.denominator);
  }
  return 0.0;
}

std::string text(ExifData* data, ExifTag tag) {
  ExifEntry* entry = find(data, tag);
  if (entry == nullptr) return {};
  std::string value(256, '\0');
  exif_entry_get_value(entry, value.data(), static_cast<unsigned>(value.size()));
  return value.c_str();
}

/// Exif 2.32 gives the 35 mm equivalent as a whole number. Makers refer it to the diagonal (CIPA DCG-001,
/// 43.27 mm) or to the width (36 mm): for a 4:3 sensor these lie 4 % apart.
constexpr double kFilmDiagonalMm = 43.2666;
constexpr double kFilmSigma = 0.03;
/// Focal length and pixels a millimetre of the sensor: both rounded, and the focal length is that at
/// infinity.
constexpr double kSensorSigma = 0.03;

std::optional<FocalHint> focal(ExifData* data, double long_side_px, double short_side_px) {
  const double film_mm = number(data, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM);
  if (film_mm > 0.0)
    return FocalHint{film_mm / kFilmDiagonalMm * std::hypot(long_side_px, short_side_px),
                     std::hypot(kFilmSigma, 0.29 / film_mm)};
  const double focal_mm = number(data, EXIF_TAG_FOCAL_LENGTH);
  const double per_unit = number(data, EXIF_TAG_FOCAL_PLANE_X_RESOLUTION);
  const double unit = number(data, EXIF_TAG_FOCAL_PLANE_RESOLUTION_UNIT);
  const double unit_mm = unit == 3.0 ? 10.0 : unit == 4.0 ? 1.0 : 25.4;
  const double full_width_px = number(data, EXIF_TAG_PIXEL_X_DIMENSION);
  if (focal_mm <= 0.0 || per_unit <= 0.0) return std::nullopt;
  // The resolution is that of the picture as taken; a picture made smaller since keeps the old tags.
  const double shrunk = full_width_px > 0.0 ? long_side_px / std::max(full_width_px, 1.0) : 1.0;
  if (shrunk > 1.01) return std::nullopt;
  return FocalHint{focal_mm * per_unit / unit_mm * shrunk, kSensorSigma};
}

}  // namespace

ExifFacts read_exif(std::string_view exif, long long_side_px, long short_side_px) {
  ExifFacts facts;
  if (exif.empty()) return facts;
  const std::string block = std::string("Exif\0\0", 6) + std::string(exif);
  const Data data(exif_data_new_from_data(reinterpret_cast<const unsigned char*>(block.data()),
                                          static_cast<unsigned>(block.size())),
                  &exif_data_unref);
  if (!data) return facts;
  const int orientation = static_cast<int>(number(data.get(), EXIF_TAG_ORIENTATION));
  if (orientation >= 1 && orientation <= 8) facts.orientation = orientation;
  facts.focal = focal(data.get(), static_cast<double>(long_side_px), static_cast<double>(short_side_px));
  facts.camera = text(data.get(), EXIF_TAG_MAKE) + "|" + text(data.get(), EXIF_TAG_MODEL) + "|" +
                 text(data.get(), EXIF_TAG_FOCAL_LENGTH) + "|" +
                 text(data.get(), EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM);
  return facts;
}

}  // namespace fairhole::photo
