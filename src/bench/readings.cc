// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "answers.h"
#include "fairhole/job/survey_findings.h"
#include "fairhole/job/survey_json.h"
#include "fairhole/report/reading_words.h"

namespace fairhole::bench {

Json readings_json(const std::string& text, const std::string& name) {
  Json answer = {{"survey", nullptr},
                 {"suspects", Json::array()},
                 {"unchecked", Json::array()},
                 {"next", Json::array()},
                 {"problems", Json::array()}};
  const auto readings = parse_readings(text, name);
  if (!readings) {
    answer["problems"] = problems_json(readings.problems());
    return answer;
  }
  const auto survey = adjust(*readings);
  if (!survey) {
    answer["problems"] = problems_json(survey.problems());
    return answer;
  }
  answer["survey"] = Json::parse(survey_json(*survey));
  const FaceFindings findings = job::survey_findings(*readings, *survey);
  for (const ReadingFinding& reading : findings.readings) {
    if (report::is_suspect(reading))
      answer["suspects"].push_back({{"row", reading.row}, {"words", report::suspect_words(reading)}});
  }
  for (const int row : survey->unchecked) answer["unchecked"].push_back(row);
  for (const ReadingToTake& next : findings.next)
    answer["next"].push_back({{"words", next.text}, {"gain", next.gain_mm}});
  return answer;
}

}  // namespace fairhole::bench
