// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/photo/picture.h"

#include <gtest/gtest.h>
#include <libheif/heif.h>

#include <cmath>
#include <opencv2/imgcodecs.hpp>

#include "test_scenes.h"

namespace fairhole::photo {
namespace {

using std::string_literals::operator""s;

/// Different in every direction: no turn or flip of it looks like another.
cv::Mat small_picture(int type = CV_8U) {
  cv::Mat grey(6, 9, type);
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) {
      const int value = 20 + 20 * x + 2 * y * y;
      if (type == CV_16U)
        grey.at<std::uint16_t>(y, x) = static_cast<std::uint16_t>(value * 257);
      else
        grey.at<std::uint8_t>(y, x) = static_cast<std::uint8_t>(value);
    }
  return grey;
}

cv::Mat noise_of(int width, int height) {
  cv::Mat grey(height, width, CV_8U);
  cv::RNG(7).fill(grey, cv::RNG::UNIFORM, 40, 220);
  return grey;
}

std::string encoded(const cv::Mat& grey, const std::string& ending) {
  std::vector<unsigned char> bytes;
  cv::imencode(ending, grey, bytes, {cv::IMWRITE_JPEG_QUALITY, 100});
  return {bytes.begin(), bytes.end()};
}

/// IEC 61966-2-1 from the other side: the sRGB value of linear light.
double srgb(double light) {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1.0 / 2.4) - 0.055;
}

std::string message(const Result<Picture>& result) {
  return result ? "no problem" : describe(result.problems().front());
}

/// An APP1 segment with an EXIF block of one tag, little end first (Exif 2.32, 4.6.2).
std::string with_orientation(std::string jpeg, char orientation) {
  const std::string tiff = "II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0"s + orientation + "\0\0\0\0\0\0\0"s;
  const std::string block = "Exif\0\0"s + tiff;
  const auto length = static_cast<char>(block.size() + 2);
  return jpeg.insert(2, "\xff\xe1\0"s + length + block);
}

TEST(DecodePicture, UndoesTheToneCurveOfEveryFormat) {
  for (const std::string ending : {".png", ".tiff", ".jpg"})
    for (const int type : {CV_8U, CV_16U}) {
      if (ending == ".jpg" && type == CV_16U) continue;
      const cv::Mat grey = small_picture(type);
      const Result<Picture> picture = decode_picture(encoded(grey, ending), "p");
      ASSERT_TRUE(picture) << ending;
      ASSERT_EQ(picture->width_px, grey.cols);
      ASSERT_EQ(picture->height_px, grey.rows);
      const double tol = ending == ".jpg" ? 4.0 : 0.01;  // steps of 255; JPEG rounds in its own space
      for (int y = 0; y < grey.rows; ++y)
        for (int x = 0; x < grey.cols; ++x)
          EXPECT_NEAR(255.0 * srgb(static_cast<double>(picture->at(x, y))), 20 + 20 * x + 2 * y * y, tol);
    }
}

// Second method: OpenCV turning by the tag itself.
TEST(DecodePicture, ObeysEveryOrientationOnce) {
  for (char orientation = 1; orientation <= 8; ++orientation) {
    const std::string bytes = with_orientation(encoded(small_picture(), ".jpg"), orientation);
    const cv::Mat packed(1, static_cast<int>(bytes.size()), CV_8U, const_cast<char*>(bytes.data()));
    const cv::Mat turned = cv::imdecode(packed, cv::IMREAD_GRAYSCALE);
    const Result<Picture> picture = decode_picture(bytes, "p");
    ASSERT_TRUE(picture) << message(picture);
    ASSERT_EQ(picture->width_px, turned.cols) << int{orientation};
    for (int y = 0; y < turned.rows; ++y)
      for (int x = 0; x < turned.cols; ++x)
        EXPECT_NEAR(255.0 * srgb(static_cast<double>(picture->at(x, y))), turned.at<std::uint8_t>(y, x), 0.01)
            << int{orientation};
  }
}

// devA.truth.json: 26 mm of the 35 mm format; its diagonal is 43.2666 mm.
TEST(DecodePicture, ReadsTheFocalLength) {
  const Result<Picture> picture = decode_picture(test::scene_file("devA.jpg"), "devA.jpg");
  ASSERT_TRUE(picture);
  ASSERT_TRUE(picture->focal);
  EXPECT_NEAR(picture->focal->focal_px, 26.0 / 43.2666 * 5000.0, 0.1);
  EXPECT_GT(picture->focal->sigma_ratio, 0.02);
  EXPECT_FALSE(decode_picture(test::scene_file("devB.jpg"), "devB.jpg")->focal);
}

TEST(DecodePicture, ReadsHeic) {
  heif_context* context = heif_context_alloc();
  heif_encoder* encoder = nullptr;
  if (heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder).code != heif_error_Ok) {
    heif_context_free(context);
    GTEST_SKIP() << "no HEVC encoder is installed to make a picture with";
  }
  heif_image* image = nullptr;
  heif_image_create(64, 48, heif_colorspace_monochrome, heif_chroma_monochrome, &image);
  heif_image_add_plane(image, heif_channel_Y, 64, 48, 8);
  int stride = 0;
  std::uint8_t* plane = heif_image_get_plane(image, heif_channel_Y, &stride);
  for (int y = 0; y < 48; ++y)
    for (int x = 0; x < 64; ++x) plane[y * stride + x] = static_cast<std::uint8_t>(x < 32 ? 60 : 200);
  heif_encoder_set_lossy_quality(encoder, 95);
  heif_context_encode_image(context, image, encoder, nullptr, nullptr);
  std::string bytes;
  heif_writer writer{1, [](heif_context*, const void* data, size_t size, void* to) {
                       static_cast<std::string*>(to)->assign(static_cast<const char*>(data), size);
                       return heif_error{heif_error_Ok, heif_suberror_Unspecified, ""};
                     }};
  heif_context_write(context, &writer, &bytes);
  heif_image_release(image);
  heif_encoder_release(encoder);
  heif_context_free(context);
  const Result<Picture> picture = decode_picture(bytes, "p.heic");
  ASSERT_TRUE(picture) << message(picture);
  EXPECT_EQ(picture->width_px, 64);
  EXPECT_NEAR(255.0 * srgb(static_cast<double>(picture->at(10, 20))), 60.0, 4.0);
  EXPECT_NEAR(255.0 * srgb(static_cast<double>(picture->at(54, 20))), 200.0, 4.0);
  EXPECT_EQ(decode_picture(bytes.substr(0, bytes.size() / 2), "p.heic").problems()[0].code,
            codes::kPictureBroken);
}

TEST(DecodePicture, SaysWhatIsNoPicture) {
  EXPECT_EQ(message(decode_picture("kind,from,to\n", "notes.jpg")),
            "E340 notes.jpg: this is no picture file known here, whatever its name says; give a photograph "
            "as JPEG, "
            "PNG, TIFF or HEIC, as the camera wrote it");
  EXPECT_EQ(message(decode_picture("", "empty.png")),
            "E340 empty.png: the file is empty, whatever its name says; give a photograph as JPEG, PNG, TIFF "
            "or HEIC, "
            "as the camera wrote it");
}

TEST(DecodePicture, SaysWhereAFileIsCutOff) {
  for (const std::string ending : {".jpg", ".png"}) {
    const std::string whole = encoded(small_picture(), ending);
    for (const std::size_t size : {whole.size() - 3, whole.size() / 2, std::size_t{40}})
      EXPECT_EQ(message(decode_picture(whole.substr(0, size), "p")),
                "E341 p: the file ends before the picture does (" + std::to_string(size) +
                    " bytes); copy it from the camera again");
  }
}

TEST(DecodePicture, RefusesTooManyPixelsByTheHeaderAlone) {
  std::string png = encoded(small_picture(), ".png");
  png.replace(16, 8, "\0\0\x4e\x20\0\0\x3a\x98"s);  // 20000 x 15000
  EXPECT_EQ(message(decode_picture(png, "p.png")),
            "E342 p.png: 20000 x 15000 pixels are 300 million; the limit is 200 million; take the photograph "
            "at the "
            "camera's usual 12 to 50 million pixels");
}

TEST(DecodePicture, SaysThatDataAreDamaged) {
  std::string png = encoded(small_picture(), ".png");
  png.replace(png.find("IDAT") + 4, 6, "\x01\x02\x03\x04\x05\x06");
  EXPECT_EQ(
      message(decode_picture(png, "p.png")),
      "E343 p.png: the picture cannot be unpacked; its data are damaged; copy it from the camera again");
}

// A decoder fills what it cannot read with grey and says nothing: holes in the grey would be missed.
TEST(DecodePicture, SaysThatAJpegIsDamagedWithin) {
  const std::string whole = encoded(noise_of(400, 300), ".jpg");
  ASSERT_TRUE(decode_picture(whole, "p"));
  const std::string damaged =
      "E343 p: the picture cannot be unpacked; its data are damaged; copy it from the camera again";
  std::string zeros = whole, lower = whole;
  zeros.replace(whole.size() / 2, 3000, 3000, '\0');
  EXPECT_EQ(message(decode_picture(zeros, "p")), damaged);
  lower.replace(lower.find("\xff\xc0") + 5, 2, "\x00\x80"s);  // 128 rows of 300 asked for
  EXPECT_EQ(message(decode_picture(lower, "p")), damaged);
}

TEST(DecodePicture, SaysWhatIsWrongWithAPngOrATiffBeforeItsDecoderDoes) {
  ::testing::internal::CaptureStderr();
  std::string png = encoded(noise_of(400, 300), ".png"), tiff = encoded(noise_of(400, 300), ".tiff");
  png[png.size() / 2] = static_cast<char>(png[png.size() / 2] ^ 1);
  EXPECT_EQ(message(decode_picture(png, "p")),
            "E343 p: the picture cannot be unpacked; its data are damaged; copy it from the camera again");
  ASSERT_TRUE(decode_picture(tiff, "p"));
  // The directory may stand behind the strips: cut between, by hand.
  const Result<Picture> cut = decode_picture(tiff.substr(0, tiff.size() / 2), "p");
  EXPECT_EQ(message(cut), "E341 p: the file ends before the picture does (" +
                              std::to_string(tiff.size() / 2) + " bytes); copy it from the camera again");
  EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
}

TEST(DecodePicture, BearsStrayBytesBeforeTheEnd) {
  std::string stray = encoded(small_picture(), ".jpg");
  stray.insert(stray.size() - 2, 40, '\0');
  EXPECT_TRUE(decode_picture(stray, "p")) << message(decode_picture(stray, "p"));
}

TEST(DecodePicture, SaysThatAPictureIsBlack) {
  EXPECT_EQ(message(decode_picture(encoded(cv::Mat(60, 80, CV_8U, cv::Scalar(2)), ".png"), "p.png")),
            "E640 p.png: the picture is black: nothing is lit in it; take it again with more light; both the "
            "board and "
            "the holes must be seen");
}

}  // namespace
}  // namespace fairhole::photo
