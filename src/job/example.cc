// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <string_view>

#include "fairhole/job/run.h"
#include "result_set.h"

namespace fairhole::embedded {
extern const std::string_view job_json;
extern const std::string_view bracket_foot_csv;
extern const std::string_view README_md;
}  // namespace fairhole::embedded

namespace fairhole::job {

std::vector<NewFile> example_files() {
  return {{"job.json", std::string(embedded::job_json)},
          {"README.md", std::string(embedded::README_md)},
          {"readings/bracket-foot.csv", std::string(embedded::bracket_foot_csv)}};
}

Problems write_example(const std::string& folder) {
  NamedBytes files;
  for (const NewFile& file : example_files()) files.emplace_back(file.path, file.bytes);
  return put_new_folder(folder, files);
}

}  // namespace fairhole::job
