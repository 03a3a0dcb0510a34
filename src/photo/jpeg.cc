// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <csetjmp>
#include <cstdio>
// jpeglib.h wants <cstdio> before it
#include <jerror.h>
#include <jpeglib.h>

#include "large_pages.h"
#include "picture_file.h"

namespace fairhole::photo {
namespace {

/// libjpeg's own error handler, told to keep silent and to remember. It must lead the struct: libjpeg hands
/// back a pointer to it.
struct JpegWatch {
  jpeg_error_mgr manager;
  std::jmp_buf stop;
  bool damaged;
};

JpegWatch& watch_of(j_common_ptr jpeg) { return *reinterpret_cast<JpegWatch*>(jpeg->err); }

void stop_at_error(j_common_ptr jpeg) { std::longjmp(watch_of(jpeg).stop, 1); }

/// libjpeg fills what it cannot read with grey and goes on with a warning. Stray bytes between sound parts,
/// which some phones write, spoil nothing; more than a few are picture data that belong somewhere.
void note_warning(j_common_ptr jpeg, int level) {
  constexpr int kStrayBytes = 256;
  if (level >= 0) return;  // a trace
  switch (jpeg->err->msg_code) {
    case JWRN_EXTRANEOUS_DATA:
      if (jpeg->err->msg_parm.i[0] > kStrayBytes) watch_of(jpeg).damaged = true;
      break;
    case JWRN_HIT_MARKER:
    case JWRN_HUFF_BAD_CODE:
    case JWRN_MUST_RESYNC:
    case JWRN_JPEG_EOF:
    case JWRN_BOGUS_PROGRESSION:
    case JWRN_NOT_SEQUENTIAL:
      watch_of(jpeg).damaged = true;
      break;
    default:
      break;  // of headers that do not bear on the pixels
  }
}

/// Into `grey`, row by row. Nothing in it has a destructor, for errors jump out of it.
bool unpack(std::string_view bytes, jpeg_decompress_struct& jpeg, JpegWatch& watch,
            std::vector<std::uint8_t>& grey) {
  if (setjmp(watch.stop) != 0) return false;
  jpeg_mem_src(&jpeg, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
  jpeg_read_header(&jpeg, TRUE);
  jpeg.out_color_space = JCS_GRAYSCALE;
  jpeg_start_decompress(&jpeg);
  make_room(static_cast<std::size_t>(jpeg.output_width) * jpeg.output_height, grey);
  while (jpeg.output_scanline < jpeg.output_height) {
    JSAMPROW row = grey.data() + static_cast<std::size_t>(jpeg.output_scanline) * jpeg.output_width;
    jpeg_read_scanlines(&jpeg, &row, 1);
  }
  jpeg_finish_decompress(&jpeg);
  return !watch.damaged;
}

}  // namespace

std::optional<GreyJpeg> decode_jpeg(std::string_view bytes) {
  GreyJpeg out;
  JpegWatch watch{};
  jpeg_decompress_struct jpeg{};
  jpeg.err = jpeg_std_error(&watch.manager);
  watch.manager.error_exit = stop_at_error;
  watch.manager.emit_message = note_warning;
  jpeg_create_decompress(&jpeg);
  const bool whole = unpack(bytes, jpeg, watch, out.grey);
  out.width_px = static_cast<int>(jpeg.output_width);
  out.height_px = static_cast<int>(jpeg.output_height);
  jpeg_destroy_decompress(&jpeg);
  return whole ? std::optional(std::move(out)) : std::nullopt;
}

}  // namespace fairhole::photo
