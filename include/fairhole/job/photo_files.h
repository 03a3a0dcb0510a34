// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/geometry/pose.h"
#include "fairhole/job/job.h"
#include "fairhole/photo/read_photos.h"

namespace fairhole::job {

/// What `fairhole photo` is asked for, as written on the command line.
struct PhotoRequest {
  std::vector<std::string> images;
  std::vector<std::string> boards;  ///< files
  std::vector<std::string> checks;  ///< "NAME=X,Y"; a board may be there several times
  std::vector<std::string> lifts;   ///< "NAME=MM"
  std::string frame;
  std::vector<double> expected_mm;
  std::optional<double> focal_px;
  std::optional<double> dpi;  ///< a flatbed scan, instead of boards
  bool rubbing = false;
  bool edges = false;                 ///< give the holes in the frame of the part's own edges
  std::vector<std::string> datum;     ///< or of two holes: origin, and where x runs to
  std::vector<std::string> holes;     ///< "X,Y" or "NAME=X,Y": a hole is there
  std::vector<std::string> no_holes;  ///< "X,Y": what is seen there is none
};

/// The same, understood.
struct PhotoTask {
  std::vector<std::string> images;  ///< files
  std::vector<std::string> boards;  ///< files
  photo::ReadOptions options;
  std::optional<double> dpi;
  std::vector<HandMark> by_hand;
};

/// What was read, with the pictures themselves.
struct PhotoFiles {
  std::vector<photo::Picture> pictures;
  std::vector<photo::Board> boards;
  photo::PhotoReading reading;
  Motion frame_from_world = {};  ///< from the Views' world to the frame of `reading`
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> edges_mm =
      {};                       ///< datum edges taken, in the frame
  std::set<HoleId> named = {};  ///< holes whose id a person gave
};

/// The name of the frame that --edges and --datum give.
inline constexpr const char* kPartFrame = "part";

/// What `fairhole photo` prints and saves: read, and carried into the part's frame where that is asked for.
/// Problems: kPhotoOption, those of read_photo_files(), kPhotoDatum, kPhotoNoEdges.
Result<PhotoFiles> answer_photos(const PhotoRequest& request);

/// The photographs laid flat with what was found, as SVG.
Result<std::string> photo_picture(const PhotoFiles& files);

/// The photographs laid flat as they are: holes and sheets, with what lies about them.
struct FlatFile {
  std::string jpeg;
  Eigen::Vector2d low_mm = Eigen::Vector2d::Zero(), high_mm = Eigen::Vector2d::Zero();  ///< in the frame
};
FlatFile flat_file(const PhotoFiles& files);

/// Carries out what a person said of places: a hole is sound unless its pictures disagree, and takes the name
/// given; what is none is doubtful. What was said of a place where nothing is seen becomes a warning.
void apply_by_hand(const std::vector<HandMark>& marks, PhotoFiles& files);

/// The reason that apply_by_hand() gives for a hole that is none.
inline constexpr const char* kNoHoleByHand = "marked as no hole by hand";

/// Adds kPhotoOption to `problems` for every option that cannot be.
PhotoTask photo_task(const PhotoRequest& request, Problems& problems);

/// Files read, boards and pictures understood, holes found. All that is wrong is said at once, `problems`
/// with it.
Result<PhotoFiles> read_photo_files(const PhotoTask& task, Problems problems = {});

/// The result as JSON text; docs/formats/photo.md lists the keys. `images`: as named in the request.
/// `flat`, where given, adds what the flat picture shows.
std::string photo_json(const photo::PhotoReading& reading, const std::vector<std::string>& images,
                       const FlatFile* flat = nullptr);

/// The same in a fitter's words.
std::string photo_text(const photo::PhotoReading& reading, const std::vector<std::string>& images);

}  // namespace fairhole::job

namespace fairhole::codes {
inline constexpr Code kPhotoOption{355};   ///< an option of `photo` that is not written as it must be
inline constexpr Code kPhotoSource{356};   ///< a job's photographs without file or scale
inline constexpr Code kPhotoDatum{357};    ///< a part frame that cannot be
inline constexpr Code kPhotoTwice{692};    ///< one picture given twice
inline constexpr Code kPhotosLoose{656};   ///< nothing ties a photographed face to its datum edges
inline constexpr Code kPhotoNoEdges{657};  ///< no datum edges in the pictures
inline constexpr Code kPhotoNoHoles{655};  ///< no hole in any picture
}  // namespace fairhole::codes
