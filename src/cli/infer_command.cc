// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <memory>
#include <optional>

#include "commands.h"
#include "fairhole/job/files.h"
#include "fairhole/job/infer_json.h"
#include "fairhole/job/register_json.h"
#include "fairhole/job/run.h"

namespace fairhole::cli {
namespace {

struct InferArguments {
  std::string measured, second, out;
  bool json = false;
  bool other_hand = false;
};

struct Loaded {
  MeasuredFace face;
  bool shape_only = false;
};

std::optional<Loaded> load(const std::string& path, Problems& problems) {
  const Result<std::string> text = job::read_file(path, path);
  if (!text) {
    append(problems, text.problems());
    return std::nullopt;
  }
  const Result<MeasuredFace> face = job::parse_measured(*text, path);
  if (!face) {
    append(problems, face.problems());
    return std::nullopt;
  }
  warn_if_independent(*face, path);
  return Loaded{*face, job::is_shape_only(*text)};
}

int infer(const InferArguments& given) {
  Problems problems;
  const std::optional<Loaded> first = load(given.measured, problems);
  const std::optional<Loaded> second = given.second.empty() ? std::nullopt : load(given.second, problems);
  if (!problems.empty()) return complain(problems);
  if (second && (first->shape_only || second->shape_only)) {
    return complain(
        {{codes::kUsage, "--with-other-hand", "a face without datum edges cannot be laid on another",
          "take readings from the datum edges on both faces, or infer each by itself"}});
  }
  PatternInference rules;
  rules.datum_edges = !first->shape_only;
  const Result<Inference> result =
      second ? rules(FaceOfPair{first->face, false}, FaceOfPair{second->face, true}, given.measured)
             : rules(first->face, given.measured);
  if (!result) return complain(result.problems());
  if (!given.out.empty()) {
    const Result<std::string> file = job::pattern_file(*result, given.other_hand, given.measured);
    if (!file) return complain(file.problems());
    if (const Problems faults = job::write_new_file(given.out, *file); !faults.empty())
      return complain(faults);
  }
  return say(given.json ? job::infer_json(*result) : job::infer_text(*result));
}

}  // namespace

void add_infer(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("infer", "The pattern from measured holes alone, its drawing lost");
  auto given = std::make_shared<InferArguments>();
  command->add_option("MEASURED", given->measured, "Measured holes (JSON of survey)")->required();
  command->add_option("--with-other-hand", given->second,
                      "Measured holes of the same part's other hand: one pattern for both");
  CLI::Option* out = command->add_option("--out", given->out, "New pattern file for register and jobs");
  command->add_flag("--other-hand", given->other_hand, "The pattern file is of the other hand (y to -y)")
      ->needs(out);
  command->add_flag("--json", given->json, "Result as JSON");
  command->callback([given, &status] { status = infer(*given); });
}

}  // namespace fairhole::cli
