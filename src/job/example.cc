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

Problems write_example(const std::string& folder) {
  return put_new_folder(folder, {{"job.json", std::string(embedded::job_json)},
                                 {"README.md", std::string(embedded::README_md)},
                                 {"readings/bracket-foot.csv", std::string(embedded::bracket_foot_csv)}});
}

}  // namespace fairhole::job
