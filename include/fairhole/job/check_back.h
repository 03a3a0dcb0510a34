// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/inspection/inspection.h"

/// `fairhole check-back`: plan.json and the measured plate in, verdicts and a record out. Pure: texts in and
/// out.
namespace fairhole::job {

/// A file as it was read: what it is called, and its bytes.
struct NamedText {
  std::string name, text;
};

struct CheckBackRequest {
  NamedText plan, measured;
  std::string plate;           ///< needed where the plan has several
  std::optional<Stage> stage;  ///< none: told from the diameters
  /// none: as the file says. A readings file knows whether it has datum readings; a measured file with a
  /// "frame" of its own (a photograph) is free, another stands in the plate's frame.
  std::optional<MeasuredIn> measured_in;
  std::string date;  ///< ISO, for the record; may be empty
};

/// One reading as it counted, for the record.
struct ReadingKept {
  int row = 0;
  std::string text;  ///< as written in the file
  double residual_mm = 0.0;
  bool rejected = false;
  std::string slip;
};

struct CheckBack {
  CheckBackRequest request;
  std::string job, plan_date;
  Inspection inspection;
  std::vector<ReadingKept> readings;  ///< empty for a measured file
};

/// Problems: kCheckBackPlan (no plan of ours, not ready, or without limits), kCheckBackPlate (which of
/// several plates), those of the readings and the survey, of parse_measured() and of inspect().
Result<CheckBack> check_back(const CheckBackRequest& request);

/// `{"stage","holes":[{"id","dx","dy","diameter","verdict","remedy"}], ...}` (docs/formats/check-back.md).
std::string check_back_json(const CheckBack& checked);
std::string check_back_text(const CheckBack& checked);

/// The record: a file that holds both inputs whole, their SHA-256, what was asked and what came out, and a
/// seal over all of it.
std::string record_json(const CheckBack& checked);
/// The same for signing: PDF.
Result<std::string> record_pdf(const CheckBack& checked);
/// The record's seal, as both print it: SHA-256 in hex.
std::string record_seal(const CheckBack& checked);

/// Reads a record and does the check again from the inputs in it. Problems: kRecordUnread, kRecordTampered
/// (the seal, a hash or the outcome does not agree; each is said), kRecordOther (another plan or measurement
/// than the files given).
Result<CheckBack> verify_record(const NamedText& record, const std::optional<NamedText>& plan,
                                const std::optional<NamedText>& measured);

}  // namespace fairhole::job

namespace fairhole::codes {
inline constexpr Code kCheckBackPlan{458};   ///< no plan.json to check against
inline constexpr Code kCheckBackPlate{459};  ///< several plates, or none of that name
inline constexpr Code kRecordUnread{460};    ///< no record of a check
inline constexpr Code kRecordTampered{585};  ///< a record that does not agree with itself
inline constexpr Code kRecordOther{586};     ///< a record of other files
}  // namespace fairhole::codes
