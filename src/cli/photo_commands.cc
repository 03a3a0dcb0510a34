// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <memory>

#include "commands.h"
#include "fairhole/job/board_json.h"
#include "fairhole/job/files.h"
#include "fairhole/job/photo_files.h"
#include "fairhole/job/run.h"

namespace fairhole::cli {
namespace {

struct BoardArguments {
  std::string paper = "A4", out;
  int number = 0;
};

int print_board(const BoardArguments& given) {
  constexpr std::string_view kEnding = ".pdf";
  if (!given.out.ends_with(kEnding) || given.out.size() == kEnding.size())
    return complain({{codes::kUsage, "--out", "\"" + given.out + "\" is no name of a PDF file",
                      "name it like board.pdf; board.json is written beside it"}});
  const Result<photo::Board> board = photo::make_board(given.paper, given.number);
  if (!board) return complain(board.problems());
  const Result<std::string> pdf = job::board_pdf(*board);
  if (!pdf) return complain(pdf.problems());
  const std::string json_file = given.out.substr(0, given.out.size() - kEnding.size()) + ".json";
  const Problems faults = job::write_new_files({{given.out, *pdf}, {json_file, job::board_json(*board)}});
  if (!faults.empty()) return complain(faults);
  return say(fmt::format("{}: scale board {}, print it at full size\n{}: what is printed where\n", given.out,
                         board->name, json_file));
}

struct PhotoArguments {
  job::PhotoRequest request;
  std::string picture, flat;
  bool json = false;
};

int photo(const PhotoArguments& given) {
  const Result<job::PhotoFiles> files = job::answer_photos(given.request);
  if (!files) return complain(files.problems());
  std::vector<job::NewFile> written;
  if (!given.picture.empty()) {
    const Result<std::string> svg = job::photo_picture(*files);
    if (!svg) return complain(svg.problems());
    written.push_back({given.picture, *svg});
  }
  std::optional<job::FlatFile> flat;
  if (!given.flat.empty()) {
    flat = job::flat_file(*files);
    written.push_back({given.flat, flat->jpeg});
  }
  if (const Problems faults = job::write_new_files(written); !faults.empty()) return complain(faults);
  return say(given.json ? job::photo_json(files->reading, given.request.images, flat ? &*flat : nullptr)
                        : job::photo_text(files->reading, given.request.images));
}

}  // namespace

void add_board(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("board", "Prints a scale board to lie beside holes in photographs");
  auto given = std::make_shared<BoardArguments>();
  command->add_option("--paper", given->paper, "A4, A3 or Letter")->capture_default_str();
  command
      ->add_option("--number", given->number,
                   "Number of the sheet, 0 to 19: sheets that are photographed together need different ones")
      ->capture_default_str();
  command->add_option("--out", given->out, "The new PDF; a JSON file of the same name is written beside it")
      ->required();
  command->callback([given, &status] { status = print_board(*given); });
}

void add_photo(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("photo", "Reads holes from photographs with a scale board in them");
  auto given = std::make_shared<PhotoArguments>();
  job::PhotoRequest& request = given->request;
  const auto each = [](CLI::Option* option) {
    option->expected(1)->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
  };
  command->add_option("IMAGE", request.images, "Photographs of one face: JPEG, PNG, TIFF or HEIC")
      ->required();
  each(
      command->add_option("--board", request.boards, "BOARD.json of the sheets in the pictures; repeatable"));
  each(command->add_option(
      "--check", request.checks,
      "What a board's x and y check bar measured on the print, mm: NAME=X,Y; repeatable"));
  each(command->add_option(
      "--lift", request.lifts,
      "How high the print lies above the metal with the holes, mm, negative if below: NAME=MM; "
      "0.1 if not given"));
  command->add_option("--frame", request.frame, "The board whose frame the holes are given in");
  command->add_option("--expect", request.expected_mm, "Diameters of the holes, mm: D1,D2,...")
      ->delimiter(',');
  command->add_option("--focal-px", request.focal_px, "Focal length in pixels, if known within 1 %");
  command->add_option("--dpi", request.dpi, "Dots to the inch of a flatbed scan, instead of a board");
  command->add_flag("--rubbing", request.rubbing, "Marks on the sheet itself are wanted, not bores in metal");
  command->add_flag("--edges", request.edges,
                    "Gives the holes in the frame of the part's own straight edges, from its datum corner");
  command
      ->add_option("--datum", request.datum,
                   "Or in that of two holes: H1,H5 is the origin, and where x runs to")
      ->delimiter(',');
  command->add_option("--picture", given->picture,
                      "A new SVG file: the face laid flat, to scale, with what was found");
  command->add_option("--flat", given->flat,
                      "A new JPEG file: holes and sheets laid flat as they are; --json then says which mm it "
                      "covers");
  each(command->add_option("--hole", request.holes,
                           "A hole is there, in the frame of --json: its rim is sought anew, and it takes "
                           "the name given: X,Y or NAME=X,Y; repeatable"));
  each(command->add_option("--no-hole", request.no_holes, "What is seen there is no hole: X,Y; repeatable"));
  command->add_flag("--json", given->json, "Result as JSON");
  command->callback([given, &status] { status = photo(*given); });
}

}  // namespace fairhole::cli
