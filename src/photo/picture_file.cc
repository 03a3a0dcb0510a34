// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "picture_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <boost/crc.hpp>
#include <cstdint>
#include <vector>

namespace fairhole::photo {
namespace {

/// Numbers out of bytes; reading beyond the end gives 0, and callers check sizes where it matters.
struct Bytes {
  std::string_view data;
  bool big_end = true;

  unsigned at(std::size_t i) const { return i < data.size() ? static_cast<unsigned char>(data[i]) : 0U; }
  unsigned two(std::size_t i) const { return big_end ? at(i) << 8U | at(i + 1) : at(i + 1) << 8U | at(i); }
  std::uint32_t four(std::size_t i) const {
    return big_end ? two(i) << 16U | two(i + 2) : two(i + 2) << 16U | two(i);
  }
};

Problem cut_off(const std::string& name, std::size_t size) {
  return {codes::kPictureCutOff, name, fmt::format("the file ends before the picture does ({} bytes)", size),
          "copy it from the camera again"};
}

constexpr std::string_view kExifMark{"Exif\0\0", 6};

/// From the start of JPEG's compressed data to the marker that ends it; npos when the file ends before.
std::size_t skip_scan(const Bytes& file, std::size_t at) {
  while (true) {
    at = file.data.find('\xff', at);
    if (at == std::string_view::npos || at + 1 >= file.data.size()) return std::string_view::npos;
    const unsigned next = file.at(at + 1);
    const bool part_of_data = next == 0x00 || (next >= 0xd0 && next <= 0xd7);
    if (!part_of_data && next != 0xff) return at;
    at += next == 0xff ? 1 : 2;
  }
}

// ITU-T T.81, annex B: markers, and the frame header (B.2.2).
Result<PictureFacts> look_at_jpeg(std::string_view bytes, const std::string& name) {
  const Bytes file{bytes};
  PictureFacts facts{.format = PictureFormat::kJpeg};
  std::size_t at = 2;
  while (at + 4 <= bytes.size()) {
    if (file.at(at) != 0xff) return cut_off(name, bytes.size());
    const unsigned marker = file.at(at + 1);
    if (marker == 0xff) {  // fill byte
      ++at;
      continue;
    }
    const std::size_t length = file.two(at + 2);
    const bool frame = marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc;
    if (frame) {
      facts.height_px = file.two(at + 5);
      facts.width_px = file.two(at + 7);
      facts.four_inks = file.at(at + 9) == 4;
    }
    if (marker == 0xe1 && facts.exif.empty() && bytes.substr(at + 4, kExifMark.size()) == kExifMark &&
        length > 8)
      facts.exif = bytes.substr(at + 10, length - 8);
    at += 2 + length;
    if (marker == 0xda) {
      at = skip_scan(file, at);
      if (at == std::string_view::npos) return cut_off(name, bytes.size());
      if (file.at(at + 1) == 0xd9) return facts;
    }
  }
  return cut_off(name, bytes.size());
}

/// ISO/IEC 15948, annex D: the check of a chunk's type and data.
std::uint32_t png_check(std::string_view bytes) {
  boost::crc_32_type crc;
  crc.process_bytes(bytes.data(), bytes.size());
  return crc.checksum();
}

// PNG specification (ISO/IEC 15948): chunks of length, type, data, check.
Result<PictureFacts> look_at_png(std::string_view bytes, const std::string& name) {
  const Bytes file{bytes};
  PictureFacts facts{.format = PictureFormat::kPng,
                     .width_px = static_cast<long>(file.four(16)),
                     .height_px = static_cast<long>(file.four(20))};
  for (std::size_t at = 8; at + 12 <= bytes.size();) {
    const std::size_t length = file.four(at);
    const std::string_view type = bytes.substr(at + 4, 4);
    if (type == "IEND") return facts;
    if (at + 12 + length > bytes.size()) break;
    if (png_check(bytes.substr(at + 4, 4 + length)) != file.four(at + 8 + length)) facts.sound = false;
    if (type == "eXIf") facts.exif = bytes.substr(at + 8, length);
    at += 12 + length;
  }
  return cut_off(name, bytes.size());
}

/// All numbers of a directory entry: up to four bytes stand in it, more where it points to.
std::vector<std::size_t> numbers_of(const Bytes& file, std::size_t entry) {
  const bool is_short = file.two(entry + 2) == 3;
  const std::size_t size = is_short ? 2 : 4,
                    count = std::min<std::size_t>(file.four(entry + 4), file.data.size());
  const std::size_t first = count * size <= 4 ? entry + 8 : file.four(entry + 8);
  std::vector<std::size_t> numbers;
  for (std::size_t i = 0; i < count; ++i)
    numbers.push_back(is_short ? file.two(first + 2 * i) : file.four(first + 4 * i));
  return numbers;
}

// TIFF 6.0, section 2: the first image file directory.
Result<PictureFacts> look_at_tiff(std::string_view bytes, const std::string& name) {
  const Bytes file{bytes, bytes[0] == 'M'};
  PictureFacts facts{.format = PictureFormat::kTiff};
  const std::size_t directory = file.four(4);
  if (directory + 2 > bytes.size()) return cut_off(name, bytes.size());
  const std::size_t count = file.two(directory);
  std::vector<std::size_t> offsets, sizes;  // of the strips
  if (directory + 2 + count * 12 > bytes.size()) return cut_off(name, bytes.size());
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t entry = directory + 2 + i * 12;
    const bool is_short = file.two(entry + 2) == 3;
    const long value =
        is_short ? static_cast<long>(file.two(entry + 8)) : static_cast<long>(file.four(entry + 8));
    switch (file.two(entry)) {
      case 256:
        facts.width_px = value;
        break;
      case 257:
        facts.height_px = value;
        break;
      case 273:
        offsets = numbers_of(file, entry);
        break;
      case 279:
        sizes = numbers_of(file, entry);
        break;
      case 274:
        facts.orientation = static_cast<int>(value);
        break;
      default:
        break;
    }
  }
  for (std::size_t i = 0; i < std::min(offsets.size(), sizes.size()); ++i)
    if (offsets[i] + sizes[i] > bytes.size()) return cut_off(name, bytes.size());
  return facts;
}

bool is_heic(std::string_view bytes) {
  constexpr std::array<std::string_view, 8> kBrands{"heic", "heix", "hevc", "heim",
                                                    "heis", "mif1", "msf1", "avif"};
  return bytes.size() > 12 && bytes.substr(4, 4) == "ftyp" &&
         std::ranges::find(kBrands, bytes.substr(8, 4)) != kBrands.end();
}

Result<PictureFacts> look_by_format(std::string_view bytes, const std::string& name) {
  using std::string_view_literals::operator""sv;
  if (bytes.starts_with("\xff\xd8\xff"sv)) return look_at_jpeg(bytes, name);
  if (bytes.starts_with("\x89PNG\r\n\x1a\n"sv)) return look_at_png(bytes, name);
  if (bytes.starts_with("II*\0"sv) || bytes.starts_with("MM\0*"sv)) return look_at_tiff(bytes, name);
  if (is_heic(bytes)) return PictureFacts{.format = PictureFormat::kHeic};
  const std::string found = bytes.empty() ? "the file is empty" : "this is no picture file known here";
  return Problem{codes::kPictureUnknown, name, found + ", whatever its name says",
                 "give a photograph as JPEG, PNG, TIFF or HEIC, as the camera wrote it"};
}

}  // namespace

std::optional<Problem> too_large(long width_px, long height_px, const std::string& name) {
  const double megapixels = static_cast<double>(width_px) * static_cast<double>(height_px) * 1e-6;
  if (megapixels <= kLargestMegapixels) return std::nullopt;
  return Problem{codes::kPictureTooLarge, name,
                 fmt::format("{} x {} pixels are {:.0f} million; the limit is {:.0f} million", width_px,
                             height_px, megapixels, kLargestMegapixels),
                 "take the photograph at the camera's usual 12 to 50 million pixels"};
}

Result<PictureFacts> look_at_file(std::string_view bytes, const std::string& name) {
  Result<PictureFacts> facts = look_by_format(bytes, name);
  if (!facts) return facts;
  if (auto problem = too_large(facts->width_px, facts->height_px, name)) return *problem;
  return facts;
}

}  // namespace fairhole::photo
