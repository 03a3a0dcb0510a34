// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <libheif/heif.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>

#include "picture_file.h"

namespace fairhole::photo {
namespace {

using Context = std::unique_ptr<heif_context, decltype(&heif_context_free)>;
using Handle = std::unique_ptr<heif_image_handle, void (*)(const heif_image_handle*)>;
using Image = std::unique_ptr<heif_image, void (*)(const heif_image*)>;
using Profile = std::unique_ptr<heif_color_profile_nclx, decltype(&heif_nclx_color_profile_free)>;

Problem refused(const std::string& name, const heif_error& error) {
  return {codes::kPictureBroken, name, std::string("the HEIC picture cannot be unpacked: ") + error.message,
          "copy it from the camera again, or save it as JPEG"};
}

/// The EXIF block begins with four bytes: how far the TIFF header lies beyond them (ISO/IEC 23008-12, A.2.1).
std::string exif_of(const heif_image_handle* handle) {
  heif_item_id id = 0;
  if (heif_image_handle_get_list_of_metadata_block_IDs(handle, "Exif", &id, 1) != 1) return {};
  std::string block(heif_image_handle_get_metadata_size(handle, id), '\0');
  if (block.size() < 10 || heif_image_handle_get_metadata(handle, id, block.data()).code != heif_error_Ok)
    return {};
  std::size_t skip = 0;
  for (int i = 0; i < 4; ++i)
    skip = skip << 8U | static_cast<unsigned char>(block[static_cast<std::size_t>(i)]);
  return skip + 4 < block.size() ? block.substr(skip + 4) : std::string();
}

/// Video levels (16..235 of 255) unless the colour profile says full range.
bool full_range(const heif_image_handle* handle) {
  heif_color_profile_nclx* raw = nullptr;
  if (heif_image_handle_get_nclx_color_profile(handle, &raw).code != heif_error_Ok) return true;
  const Profile profile(raw, &heif_nclx_color_profile_free);
  return profile->full_range_flag != 0;
}

std::vector<std::uint16_t> luma(const heif_image* image, int width, int height, bool full) {
  int stride = 0;
  const std::uint8_t* plane = heif_image_get_plane_readonly(image, heif_channel_Y, &stride);
  const int bits = heif_image_get_bits_per_pixel_range(image, heif_channel_Y);
  const double top = static_cast<double>((1U << static_cast<unsigned>(bits)) - 1U);
  const double black = full ? 0.0 : 16.0 / 255.0, white = full ? 1.0 : 235.0 / 255.0;
  std::vector<std::uint16_t> table(static_cast<std::size_t>(top) + 1);
  for (std::size_t i = 0; i < table.size(); ++i)
    table[i] = static_cast<std::uint16_t>(std::lround(
        65535.0 * std::clamp((static_cast<double>(i) / top - black) / (white - black), 0.0, 1.0)));
  std::vector<std::uint16_t> grey;
  grey.reserve(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
  for (int y = 0; y < height; ++y) {
    const std::uint8_t* row = plane + static_cast<std::ptrdiff_t>(y) * stride;
    for (int x = 0; x < width; ++x) {
      std::uint16_t value = row[x];
      if (bits > 8) std::memcpy(&value, row + static_cast<std::ptrdiff_t>(x) * 2, 2);
      grey.push_back(table[std::min<std::size_t>(value, table.size() - 1)]);
    }
  }
  return grey;
}

}  // namespace

Result<GreyHeic> decode_heic(std::string_view bytes, const std::string& name) {
  const Context context(heif_context_alloc(), &heif_context_free);
  heif_error error =
      heif_context_read_from_memory_without_copy(context.get(), bytes.data(), bytes.size(), nullptr);
  if (error.code != heif_error_Ok) return refused(name, error);
  heif_image_handle* raw_handle = nullptr;
  error = heif_context_get_primary_image_handle(context.get(), &raw_handle);
  if (error.code != heif_error_Ok) return refused(name, error);
  const Handle handle(raw_handle, &heif_image_handle_release);
  if (auto problem =
          too_large(heif_image_handle_get_width(raw_handle), heif_image_handle_get_height(raw_handle), name))
    return *problem;
  heif_image* raw_image = nullptr;
  error = heif_decode_image(raw_handle, &raw_image, heif_colorspace_YCbCr, heif_chroma_420, nullptr);
  if (error.code != heif_error_Ok) return refused(name, error);
  const Image image(raw_image, &heif_image_release);
  GreyHeic out;
  out.width_px = heif_image_get_width(raw_image, heif_channel_Y);
  out.height_px = heif_image_get_height(raw_image, heif_channel_Y);
  out.grey = luma(raw_image, out.width_px, out.height_px, full_range(raw_handle));
  out.exif = exif_of(raw_handle);
  return out;
}

}  // namespace fairhole::photo
