// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <array>

#include "fairhole/photo/board.h"
#include "fairhole/photo/read_photos.h"
#include "targets.h"

namespace fairhole::fuzz {

void pictures(std::string_view bytes) {
  constexpr std::size_t kMostPixels = 1U << 16U;
  const Result<photo::Picture> picture = photo::decode_picture(bytes, "face.jpg");
  if (!picture) return must_be_clear(picture.problems());
  must(picture->light.size() ==
           static_cast<std::size_t>(picture->width_px) * static_cast<std::size_t>(picture->height_px),
       "as many values as pixels");
  for (const float light : picture->light) must(light >= 0.0F && light <= 1.0F, "light lies in 0..1");
  if (picture->light.size() > kMostPixels) return;
  static const Result<photo::Board> board = photo::make_board("A4", 1);
  const Result<photo::PhotoReading> reading = photo::read_photos(std::array{*picture}, std::array{*board});
  if (!reading) must_be_clear(reading.problems());
}

}  // namespace fairhole::fuzz
