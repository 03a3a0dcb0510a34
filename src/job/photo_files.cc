// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/photo_files.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <functional>
#include <map>

#include "fairhole/job/board_json.h"
#include "fairhole/job/files.h"

namespace fairhole::job {
namespace {

constexpr unsigned kMostPictureMb = 400;  // 200 million pixels of an unpacked 16-bit TIFF
constexpr double kMostMm = 1e5;

/// "NAME=1.5,2" taken apart; nothing when it is not written so, with `count` numbers.
struct Named {
  std::string name;
  std::vector<double> numbers;
};
std::optional<Named> take_apart(const std::string& text, std::size_t count) {
  const std::size_t equals = text.rfind('=');
  if (equals == 0 || equals == std::string::npos) return std::nullopt;
  Named named{text.substr(0, equals), {}};
  const char* at = text.data() + equals + 1;
  const char* const end = text.data() + text.size();
  while (at < end) {
    double value = 0.0;
    const auto [stop, error] = std::from_chars(at, end, value);
    if (error != std::errc() || !std::isfinite(value) || std::abs(value) > kMostMm) return std::nullopt;
    named.numbers.push_back(value);
    if (stop != end && (*stop != ',' || stop + 1 == end)) return std::nullopt;
    at = stop == end ? end : stop + 1;
  }
  return named.numbers.size() == count ? std::optional(named) : std::nullopt;
}

Problem badly_written(const char* option, const std::string& text, const std::string& remedy) {
  return {codes::kPhotoOption, option, fmt::format("\"{}\" cannot be read", text), remedy};
}

void check_scan(const PhotoRequest& request, Problems& problems) {
  if (request.dpi && !(*request.dpi >= 50.0 && *request.dpi <= 5000.0))
    problems.push_back(badly_written("--dpi", fmt::format("{}", *request.dpi),
                                     "write the scanner's dots to the inch, 50 to 5000"));
  if (request.dpi && (request.images.size() > 1 || !request.boards.empty()))
    problems.push_back({codes::kPhotoOption, "--dpi", "it is for one scan without a board",
                        "give one picture and no --board; or leave --dpi out, for a board gives the scale"});
  if (!request.dpi && request.boards.empty())
    problems.push_back({codes::kPhotoOption, "--board", "nothing says how large things are",
                        "name the BOARD.json of the sheet in the pictures, or the --dpi of a flatbed scan"});
}

photo::ReadOptions read_options(const PhotoRequest& request, Problems& problems) {
  photo::ReadOptions options;
  options.expected_mm = request.expected_mm;
  options.cameras.frame = request.frame;
  options.cameras.focal_px = request.focal_px;
  options.cameras.marks_on_sheet = request.rubbing;
  for (const std::string& text : request.checks) {
    const auto named = take_apart(text, 2);
    if (named && named->numbers[0] > 0.0 && named->numbers[1] > 0.0)
      options.cameras.bars.push_back({named->name, named->numbers[0], named->numbers[1]});
    else
      problems.push_back(
          badly_written("--check", text, "write what the x and the y bar measured: A4-0=179.6,269.5"));
  }
  for (const std::string& text : request.lifts) {
    if (const auto named = take_apart(text, 1))
      options.cameras.lifts[named->name] = {.mm = named->numbers[0]};
    else
      problems.push_back(
          badly_written("--lift", text, "write how high the print lies above the metal, in mm: A4-0=3.2"));
  }
  for (const double expected : request.expected_mm)
    if (!(expected > 0.0) || expected > kMostMm)
      problems.push_back(
          badly_written("--expect", fmt::format("{}", expected), "write diameters in mm: 17,21.5"));
  if (request.focal_px && !(*request.focal_px > 1.0))
    problems.push_back(badly_written("--focal-px", fmt::format("{}", *request.focal_px),
                                     "write the focal length in pixels, such as 3000"));
  if (!request.datum.empty() && (request.datum.size() != 2 || request.edges))
    problems.push_back({codes::kPhotoOption, "--datum",
                        request.edges ? "--edges gives the frame already" : "two holes are needed",
                        "write the hole at the origin and the one x runs to: --datum H1,H5"});
  check_scan(request, problems);
  return options;
}

std::vector<HandMark> hand_marks(const PhotoRequest& request, Problems& problems) {
  std::vector<HandMark> marks;
  for (const std::string& text : request.holes) {
    const bool named = text.find('=') != std::string::npos;
    if (const auto place = take_apart(named ? text : "?=" + text, 2))
      marks.push_back({{place->numbers[0], place->numbers[1]}, true, named ? place->name : ""});
    else
      problems.push_back(badly_written("--hole", text,
                                       "write where the hole is, with its name if it shall have one: "
                                       "120.5,44 or A3=120.5,44"));
  }
  for (const std::string& text : request.no_holes) {
    if (const auto place = take_apart("?=" + text, 2))
      marks.push_back({{place->numbers[0], place->numbers[1]}, false, ""});
    else
      problems.push_back(badly_written("--no-hole", text, "write where it is: 120.5,44"));
  }
  return marks;
}

std::vector<photo::Board> read_boards(const std::vector<std::string>& files, Problems& problems) {
  std::vector<photo::Board> boards;
  for (const std::string& file : files) {
    const Result<std::string> text = read_file(file, file);
    if (!text) {
      append(problems, text.problems());
      continue;
    }
    const Result<std::vector<photo::Board>> found = parse_boards(*text, file);
    if (found)
      boards.insert(boards.end(), found->begin(), found->end());
    else
      append(problems, found.problems());
  }
  append(problems, check_boards_differ(boards));
  return boards;
}

}  // namespace

PhotoTask photo_task(const PhotoRequest& request, Problems& problems) {
  return {request.images, request.boards, read_options(request, problems), request.dpi,
          hand_marks(request, problems)};
}

Result<PhotoFiles> read_photo_files(const PhotoTask& task, Problems problems) {
  photo::ReadOptions options = task.options;
  for (const HandMark& mark : task.by_hand)
    if (mark.is_hole) options.hints_mm.push_back(mark.at_mm);
  PhotoFiles files;
  files.boards = read_boards(task.boards, problems);
  std::map<std::size_t, std::string> known;  // by the hash of their bytes
  for (const std::string& file : task.images) {
    const Result<std::string> bytes = read_file(file, file, kMostPictureMb);
    if (!bytes) {
      append(problems, bytes.problems());
      continue;
    }
    const auto [first, fresh] = known.try_emplace(std::hash<std::string>{}(*bytes), file);
    if (!fresh) {
      problems.push_back({codes::kPhotoTwice, file,
                          fmt::format("it is the same picture as {}, byte for byte", first->second),
                          "give each photograph once: a copy tells nothing more"});
      continue;
    }
    Result<photo::Picture> picture = photo::decode_picture(*bytes, file);
    if (picture)
      files.pictures.push_back(*std::move(picture));
    else
      append(problems, picture.problems());
  }
  if (!problems.empty()) return problems;
  Result<photo::PhotoReading> reading =
      task.dpi ? Result<photo::PhotoReading>(photo::read_scan(files.pictures.front(), *task.dpi, options))
               : photo::read_photos(files.pictures, files.boards, options);
  if (!reading) return reading.problems();
  if (reading->holes.empty())
    return Problem{codes::kPhotoNoHoles, task.images.front(),
                   task.dpi ? "no hole is seen" : "the board is seen, and no hole",
                   "photograph nearer and evenly lit; a rim must lie wholly in the picture"};
  files.reading = *std::move(reading);
  apply_by_hand(task.by_hand, files);
  return files;
}

}  // namespace fairhole::job
