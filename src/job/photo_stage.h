// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "fairhole/job/photo_files.h"
#include "survey_stage.h"

/// A face's photographs, read and put together with what is known of the face already.
namespace fairhole::job {

/// Photographs read once in a run, whatever number of faces they show.
class PhotoShelf {
 public:
  explicit PhotoShelf(const Job& job) : job_(job) {}
  Result<std::shared_ptr<const PhotoFiles>> read(const PhotoSet& set);

 private:
  const Job& job_;
  std::map<std::string, std::shared_ptr<const PhotoFiles>> read_;
};

/// Puts one set into `measured` (the readings' face, or empty). Adds what was found to `findings`, what a
/// person must know to `warnings`. Problems: those of photographs and of fuse(), kPhotosLoose.
struct PhotoStage {
  const Job& job;
  const FaceKey& key;
  const Face& face;
  FaceFindings& findings;
  std::vector<std::string>& warnings;

  Problems add(const PhotoSet& set, PhotoShelf& shelf, MeasuredFace& measured) const;
};

}  // namespace fairhole::job
