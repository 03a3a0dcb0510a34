// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/picture.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgcodecs.hpp>

#include "large_pages.h"
#include "picture_file.h"

namespace fairhole::photo {
namespace {

/// IEC 61966-2-1 (sRGB): the tone curve undone.
double linear(double value) {
  return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
}

template <class Value>
std::vector<float> tone_table() {
  constexpr std::size_t kTop = std::numeric_limits<Value>::max();
  std::vector<float> table(kTop + 1);
  for (std::size_t i = 0; i <= kTop; ++i)
    table[i] = static_cast<float>(linear(static_cast<double>(i) / static_cast<double>(kTop)));
  return table;
}

/// Writes the stored pixels upright. EXIF orientation: which way the first row and column lie.
template <class Value, class Row>
void turn_and_linearise(Row row_of, int width, int height, int orientation, Picture& out) {
  const std::vector<float> table = tone_table<Value>();
  const bool lying = orientation >= 5;
  const bool x_back = orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
  const bool y_back = orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
  out.width_px = lying ? height : width;
  out.height_px = lying ? width : height;
  make_room(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), out.light);
  const std::ptrdiff_t step_x = lying ? out.width_px : 1, step_y = lying ? 1 : out.width_px;
  cv::parallel_for_({0, height}, [&](const cv::Range& range) {
    for (int y = range.start; y < range.end; ++y) {
      const Value* row = row_of(y);
      float* to =
          out.light.data() + (y_back ? height - 1 - y : y) * step_y + (x_back ? width - 1 : 0) * step_x;
      const std::ptrdiff_t step = x_back ? -step_x : step_x;
      for (int x = 0; x < width; ++x) to[x * step] = table[row[x]];
    }
  });
}

Problem damaged(const std::string& name) {
  return {codes::kPictureBroken, name, "the picture cannot be unpacked; its data are damaged",
          "copy it from the camera again"};
}

Result<Picture> decode_by_libjpeg(std::string_view bytes, const PictureFacts& facts,
                                  const std::string& name) {
  const auto jpeg = decode_jpeg(bytes);
  if (!jpeg || jpeg->width_px != facts.width_px || jpeg->height_px != facts.height_px) return damaged(name);
  Picture out;
  turn_and_linearise<std::uint8_t>(
      [&](int y) { return jpeg->grey.data() + static_cast<std::ptrdiff_t>(y) * jpeg->width_px; },
      jpeg->width_px, jpeg->height_px, facts.orientation, out);
  return out;
}

Result<Picture> decode_by_opencv(std::string_view bytes, const PictureFacts& facts, const std::string& name) {
  cv::Mat grey;
  try {
    const cv::Mat packed(1, static_cast<int>(bytes.size()), CV_8U, const_cast<char*>(bytes.data()));
    grey = cv::imdecode(packed, cv::IMREAD_GRAYSCALE | cv::IMREAD_ANYDEPTH | cv::IMREAD_IGNORE_ORIENTATION);
  } catch (const cv::Exception&) {
    return damaged(name);
  }
  if (grey.empty() || grey.cols != facts.width_px || grey.rows != facts.height_px) return damaged(name);
  Picture out;
  if (grey.depth() == CV_8U)
    turn_and_linearise<std::uint8_t>([&](int y) { return grey.ptr<std::uint8_t>(y); }, grey.cols, grey.rows,
                                     facts.orientation, out);
  else if (grey.depth() == CV_16U)
    turn_and_linearise<std::uint16_t>([&](int y) { return grey.ptr<std::uint16_t>(y); }, grey.cols, grey.rows,
                                      facts.orientation, out);
  else
    return damaged(name);
  return out;
}

Result<Picture> decode_by_heif(std::string_view bytes, const std::string& name, std::string& exif) {
  Result<GreyHeic> heic = decode_heic(bytes, name);
  if (!heic) return heic.problems();
  Picture out;
  turn_and_linearise<std::uint16_t>(
      [&](int y) { return heic->grey.data() + static_cast<std::ptrdiff_t>(y) * heic->width_px; },
      heic->width_px, heic->height_px, 1, out);
  exif = std::move(heic->exif);
  return out;
}

/// White paper in a usable photograph is far above this, which is the 3rd of 255 steps of the file.
constexpr float kDarkLight = 0.001F;

bool is_dark(const Picture& picture) {
  constexpr std::size_t kStride = 997;  // a sample is enough, and no divisor of usual widths
  std::size_t seen = 0, lit = 0;
  for (std::size_t i = 0; i < picture.light.size(); i += kStride) {
    ++seen;
    if (picture.light[i] > kDarkLight) ++lit;
  }
  return static_cast<double>(lit) < 0.005 * static_cast<double>(seen);
}

}  // namespace

double Picture::between(double x, double y) const {
  const int left = std::min(static_cast<int>(x), width_px - 2),
            top = std::min(static_cast<int>(y), height_px - 2);
  const double u = x - left, v = y - top;
  return (1.0 - v) * ((1.0 - u) * at(left, top) + u * at(left + 1, top)) +
         v * ((1.0 - u) * at(left, top + 1) + u * at(left + 1, top + 1));
}

Result<Picture> decode_picture(std::string_view bytes, const std::string& name) {
  Result<PictureFacts> facts = look_at_file(bytes, name);
  if (!facts) return facts.problems();
  if (!facts->sound) return damaged(name);
  std::string heic_exif;
  const bool heic = facts->format == PictureFormat::kHeic;
  ExifFacts exif;
  if (!heic) {
    exif = read_exif(facts->exif, std::max(facts->width_px, facts->height_px),
                     std::min(facts->width_px, facts->height_px));
    if (facts->format != PictureFormat::kTiff) facts->orientation = exif.orientation;
  }
  const bool jpeg = facts->format == PictureFormat::kJpeg && !facts->four_inks;
  Result<Picture> picture = heic   ? decode_by_heif(bytes, name, heic_exif)
                            : jpeg ? decode_by_libjpeg(bytes, *facts, name)
                                   : decode_by_opencv(bytes, *facts, name);
  if (!picture) return picture;
  if (heic)
    exif = read_exif(heic_exif, std::max(picture->width_px, picture->height_px),
                     std::min(picture->width_px, picture->height_px));
  picture->name = name;
  picture->focal = exif.focal;
  picture->camera = exif.camera;
  if (is_dark(*picture))
    return Problem{codes::kPictureDark, name, "the picture is black: nothing is lit in it",
                   "take it again with more light; both the board and the holes must be seen"};
  return picture;
}

}  // namespace fairhole::photo
