// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "answers.h"
#include "fairhole/job/survey_findings.h"
#include "fairhole/job/survey_json.h"
#include "fairhole/report/reading_words.h"

namespace fairhole::bench {

namespace {

const char* second_name(ReadingKind kind) {
  switch (kind) {
    case ReadingKind::kCentres:
    case ReadingKind::kNearEdges:
    case ReadingKind::kFarEdges:
    case ReadingKind::kSameEdges:
      return "hole";
    case ReadingKind::kRun:
    case ReadingKind::kRunAcross:
      return "set-up";
    case ReadingKind::kOffLine:
      return "line";
    case ReadingKind::kDia:
      return "direction";
    case ReadingKind::kAlong:
    case ReadingKind::kAcross:
    case ReadingKind::kAlongNear:
    case ReadingKind::kAlongFar:
    case ReadingKind::kAcrossNear:
    case ReadingKind::kAcrossFar:
    case ReadingKind::kKnownX:
    case ReadingKind::kKnownY:
      break;
  }
  return "";
}

}  // namespace

Json kinds_json() {
  Json all = Json::array();
  for (int k = 0; k <= static_cast<int>(ReadingKind::kKnownY); ++k) {
    const auto kind = static_cast<ReadingKind>(k);
    all.push_back({{"kind", kind_name(kind)}, {"to", second_name(kind)}});
  }
  return all;
}

Json readings_json(const std::string& text, const std::string& name, bool quick) {
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
  SurveyOptions options;
  if (quick) options = {.look_for_blunders = false, .next_count = 0, .full_covariance = false};
  const auto survey = adjust(*readings, options);
  if (!survey) {
    answer["problems"] = problems_json(survey.problems());
    return answer;
  }
  answer["survey"] = Json::parse(survey_json(*survey));
  if (quick) return answer;
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
