// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "photo_stage.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "outline.h"
#include "photo_edges.h"
#include "photo_picture.h"

namespace fairhole::job {
namespace {

constexpr double kOffFaceMm = 3.0;       // a hole's centre that far outside the outline is none of this face
constexpr double kLooseMm = 2.0;         // 1 sigma of where the holes lie on the face: more is no place
constexpr double kPicturesPixels = 6e6;  // of all pictures of a report

std::string path_of(const Job& job, const std::string& file) {
  return (std::filesystem::path(job.folder) / file).string();
}

/// The results say where a file lies in the job, and not where the job lies: same job, same bytes.
std::string as_the_job_names(const Job& job, std::string text) {
  const std::string folder = path_of(job, "");
  if (!folder.empty() && text.starts_with(folder)) text.erase(0, folder.size());
  return text;
}

PhotoTask task_of(const Job& job, const PhotoSet& set) {
  PhotoTask task;
  for (const std::string& file : set.files) task.images.push_back(path_of(job, file));
  for (const std::string& file : set.boards) task.boards.push_back(path_of(job, file));
  for (const auto& [board, mm] : set.check_mm) task.options.cameras.bars.push_back({board, mm.x(), mm.y()});
  for (const auto& [board, mm] : set.lift_mm) task.options.cameras.lifts[board] = {.mm = mm};
  task.options.cameras.frame = set.frame;
  task.options.cameras.focal_px = set.focal_px;
  task.options.cameras.marks_on_sheet = set.rubbing;
  task.options.expected_mm = set.expect_mm;
  task.dpi = set.dpi;
  task.by_hand = set.by_hand;
  return task;
}

/// All that decides what is read: sets alike in it are one reading.
std::string shelf_mark(const PhotoSet& set) {
  std::string mark = fmt::format("{}|{}|{}|{}|{}|{}|{}", fmt::join(set.files, "|"),
                                 fmt::join(set.boards, "|"), set.frame, fmt::join(set.expect_mm, "|"),
                                 set.focal_px.value_or(0.0), set.dpi.value_or(0.0), set.rubbing);
  for (const auto& [board, mm] : set.check_mm) mark += fmt::format("|{}={},{}", board, mm.x(), mm.y());
  for (const auto& [board, mm] : set.lift_mm) mark += fmt::format("|{}+{}", board, mm);
  for (const HandMark& hand : set.by_hand)
    mark += fmt::format("|{},{},{},{}", hand.at_mm.x(), hand.at_mm.y(), hand.is_hole, hand.name);
  return mark;
}

LooseFace loose_face(const Job& job, const Face& face, const PhotoSet& set, const PhotoFiles& files) {
  LooseFace loose;
  loose.measured = photo::measured_face(files.reading);
  loose.face_from_loose = set.face_from_board;
  loose.shift_sigma_mm = set.at_sigma_mm;
  loose.turn_sigma_rad = set.turn_sigma.radians();
  if (set.face_from_board.mirrored && !set.rubbing) {
    // The far mouth of each bore was seen: its slant carries it aside by the metal's thickness.
    const double tilt = job.assembling.tilt_sigma.radians() * face.thickness_mm;
    loose.measured.covariance_mm2.diagonal().array() += tilt * tilt;
  }
  return loose;
}

const char* source_word(const PhotoSet& set) { return set.rubbing ? "rubbing" : "photographs"; }

}  // namespace

Result<std::shared_ptr<const PhotoFiles>> PhotoShelf::read(const PhotoSet& set) {
  const std::string mark = shelf_mark(set);
  if (const auto known = read_.find(mark); known != read_.end()) return known->second;
  Result<PhotoFiles> files = read_photo_files(task_of(job_, set));
  if (!files) return files.problems();
  return read_[mark] = std::make_shared<const PhotoFiles>(*std::move(files));
}

namespace {

/// The words of one set, said with the face's name.
class Words {
 public:
  Words(const PhotoStage& stage, const PhotoSet& set) : stage_(stage), set_(set) {}

  void warn(const std::string& text) const {
    stage_.warnings.push_back(fmt::format("{}, {}: {}", stage_.key.first, stage_.key.second, text));
  }

  void disputes(const FusedFace& fused) const {
    for (const FaceDispute& dispute : fused.disputes) {
      if (dispute.is_size)
        warn(fmt::format(
            "the diameters of hole {} by caliper and by {} differ by {:.1f} mm, beyond what both claim; "
            "the one between them is taken. Look again.",
            dispute.what, source_word(set_), dispute.apart_mm));
      else if (dispute.is_edge)
        warn(
            fmt::format("the {} as {} show it lies {:.1f} mm off where the readings put it, beyond what both "
                        "claim; the readings are taken. Look again from which edge the tape was started.",
                        dispute.what, source_word(set_), dispute.apart_mm));
      else
        warn(fmt::format(
            "readings and {} put hole {} {:.1f} mm apart, beyond what both claim; it is taken as not "
            "measured. Measure it again.",
            source_word(set_), dispute.what, dispute.apart_mm));
    }
    if (!fused.scale_apart) return;
    const double percent = 100.0 * std::abs(*fused.scale_apart);
    warn(fmt::format(
        "the readings make this face {:.2f} % {} than the {} do, {:.1f} mm in a metre: the tape, or a "
        "print that was not measured. Measure the check bars again.",
        percent, *fused.scale_apart > 0.0 ? "longer" : "shorter", source_word(set_), 10.0 * percent));
  }

  /// Nothing seen is dropped in silence; what lies off the face is the bench's business.
  void doubtful(const photo::PhotoReading& reading, const Motion& face_from_board,
                const MeasuredFace& measured) const {
    for (const photo::PhotoHole& hole : reading.holes) {
      const Eigen::Vector2d at = face_from_board * hole.centre_mm;
      if (!hole.doubtful || !inside(stage_.face.outline_mm, at)) continue;
      if (!hole.reasons.empty() && hole.reasons.back() == kNoHoleByHand) continue;
      const auto known = std::ranges::find_if(measured.holes, [&](const MeasuredHole& m) {
        return (m.centre_mm - at).norm() <
               0.5 * (hole.sized() ? hole.bore_diameter_mm : m.diameter_mm.value_or(0.0));
      });
      const std::string reasons = fmt::format("{}", fmt::join(hole.reasons, "; "));
      if (known != measured.holes.end())
        warn(fmt::format("hole {} is doubtful in the {} ({}); what the readings say of it stands alone.",
                         known->id, source_word(set_), reasons));
      else
        warn(fmt::format(
            "what the {} show at x {:.0f}, y {:.0f} may be no hole, or is not well measured: {}. It is "
            "left out; look again.",
            source_word(set_), at.x(), at.y(), reasons));
    }
  }

 private:
  const PhotoStage& stage_;
  const PhotoSet& set_;
};

/// Names that a person gave to holes of the pictures. A hole that the readings name keeps that name.
void name_by_hand(const PhotoFiles& files, const MeasuredFace& readings, FusedFace& fused,
                  const Words& words) {
  for (auto& [on_face, in_photos] : fused.same) {
    if (!files.named.contains(in_photos) || on_face == in_photos) continue;
    if (readings.find(on_face) != nullptr)
      words.warn(
          fmt::format("what was named {} in the pictures by hand is {} of the readings; it keeps that "
                      "name. Look again.",
                      in_photos, on_face));
    else if (fused.face.find(in_photos) != nullptr)
      words.warn(
          fmt::format("what was named {} in the pictures by hand lies elsewhere than {} of the "
                      "readings; it is called {}. Look again.",
                      in_photos, in_photos, on_face));
    else {
      for (MeasuredHole& hole : fused.face.holes)
        if (hole.id == on_face) hole.id = in_photos;
      on_face = in_photos;
    }
  }
}

/// Holes seen beside the part: the bench's, or another part's.
std::set<HoleId> off_face(const Face& face, const MeasuredFace& fixed, const MeasuredFace& fused) {
  std::set<HoleId> off;
  for (const MeasuredHole& hole : fused.holes)
    if (fixed.find(hole.id) == nullptr && !inside(face.outline_mm, hole.centre_mm, kOffFaceMm))
      off.insert(hole.id);
  return off;
}

/// 1 sigma of where all holes lie together: of their mean, in the worse direction.
double place_sigma_mm(const MeasuredFace& face) {
  const auto n = static_cast<Eigen::Index>(face.holes.size());
  Eigen::MatrixXd mean = Eigen::MatrixXd::Zero(2, 2 * n);
  for (Eigen::Index i = 0; i < n; ++i)
    mean.block<2, 2>(0, 2 * i) = Eigen::Matrix2d::Identity() / static_cast<double>(n);
  const Eigen::Matrix2d spread = mean * face.covariance_mm2 * mean.transpose();
  return std::sqrt(spread.diagonal().maxCoeff());
}

/// The face with a margin, what was found in it named as the fused face names it.
FacePicture face_picture(const PhotoStage& stage, const PhotoSet& set, const PhotoFiles& files,
                         const FusedFace& fused, const std::vector<EdgeTie>& edges) {
  std::map<HoleId, HoleId> names;
  for (const auto& [on_face, in_photos] : fused.same) names[in_photos] = on_face;
  std::size_t sets = 0;
  for (const Part& part : stage.job.parts)
    for (const Face& face : part.faces) sets += face.photos.size();
  FlatView flat{fused.face_from_loose, names, stage.face.outline_mm, edges,
                std::min(kPicturePixels, kPicturesPixels / static_cast<double>(sets))};
  FacePicture picture = lay_flat(files, flat);
  picture.title = fmt::format("{}, {}", stage.key.first, stage.key.second);
  picture.source = fmt::format("{}", fmt::join(set.files, ", "));
  std::erase_if(picture.holes, [&](const SeenHole& hole) {
    return !inside(stage.face.outline_mm, hole.centre_mm, kOffFaceMm);
  });
  return picture;
}

}  // namespace

Problems PhotoStage::add(const PhotoSet& set, PhotoShelf& shelf, MeasuredFace& measured) const {
  const std::string where = fmt::format("{}: part \"{}\", face \"{}\", {}", job.file, key.first, key.second,
                                        fmt::join(set.files, ", "));
  const Result<std::shared_ptr<const PhotoFiles>> files = shelf.read(set);
  if (!files) return files.problems();
  const photo::PhotoReading& reading = (*files)->reading;
  LooseFace loose = loose_face(job, face, set, **files);
  if (loose.measured.holes.empty())
    return {{codes::kPhotoNoHoles, where, "all that is seen is doubtful",
             "photograph again, nearer and evenly lit, or measure the holes with a tape"}};
  DatumEdges edges;
  if (!set.edges.empty())
    edges = datum_edges_of(face, set, photo::find_edges((*files)->pictures, (*files)->boards, reading));
  loose.edges = edges.ties;
  Result<FusedFace> fused = fuse(measured, loose);
  if (!fused) {
    Problems problems = fused.problems();
    for (Problem& problem : problems) problem.where = where;
    return problems;
  }
  const Words words(*this, set);
  name_by_hand(**files, measured, *fused, words);
  const std::set<HoleId> off = off_face(face, measured, fused->face);
  if (!off.empty())
    words.warn(fmt::format("{} seen beside the part, off its outline; left out.",
                           off.size() == 1 ? "1 hole is" : fmt::format("{} holes are", off.size())));
  const MeasuredFace known = measured;
  measured = without_holes(fused->face, off);
  if (measured.holes.empty() || place_sigma_mm(measured) > kLooseMm)
    return {{codes::kPhotosLoose, where, "they give the holes' shape, and not where they lie on the face",
             "let them show both datum edges and name these in \"edges\", or take readings from both datum "
             "edges: "
             "along and across to two holes at least"}};
  words.disputes(*fused);
  words.doubtful(reading, fused->face_from_loose, known);
  for (const std::string& text : reading.adjusted.warnings)
    findings.remarks.push_back(as_the_job_names(job, text));
  findings.remarks.insert(findings.remarks.end(), edges.words.begin(), edges.words.end());
  findings.pictures.push_back(face_picture(*this, set, **files, *fused, edges.ties));
  return {};
}

}  // namespace fairhole::job
