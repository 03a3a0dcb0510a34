// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "check_back_json.h"
#include "fairhole/drawing/writers.h"
#include "fairhole/job/sha256.h"
#include "fairhole/report/record_sheets.h"
#include "json_text.h"
#include "outputs_stage.h"

namespace fairhole::job {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kRecordFormat = "fairhole check-back record 1";

Json input_json(const NamedText& file) {
  return {{"name", file.name}, {"sha256", sha256_hex(file.text)}, {"text", file.text}};
}

Json unsealed(const CheckBack& checked) {
  const CheckBackRequest& request = checked.request;
  Json json;
  json["format"] = kRecordFormat;
  json["job"] = checked.job;
  json["date"] = request.date.empty() ? Json(nullptr) : Json(request.date);
  json["asked"] = {{"plate", request.plate},
                   {"stage", request.stage ? Json(stage_name(*request.stage)) : Json(nullptr)},
                   {"measured_in", !request.measured_in                         ? Json(nullptr)
                                   : *request.measured_in == MeasuredIn::kDatum ? Json("datum")
                                                                                : Json("free")}};
  json["plan"] = input_json(request.plan);
  json["measured"] = input_json(request.measured);
  json["readings"] = Json::array();
  for (const ReadingKept& reading : checked.readings) {
    json["readings"].push_back({{"row", reading.row},
                                {"text", reading.text},
                                {"residual", reading.residual_mm},
                                {"rejected", reading.rejected},
                                {"slip", reading.slip.empty() ? Json(nullptr) : Json(reading.slip)}});
  }
  json["outcome"] = outcome_json(checked);
  return json;
}

std::string seal_of(const Json& json) { return sha256_hex(json.dump()); }

Result<CheckBackRequest> request_of(const Json& json, const std::string& name) {
  try {
    const Json& asked = json.at("asked");
    CheckBackRequest request;
    request.plan = {json.at("plan").at("name"), json.at("plan").at("text")};
    request.measured = {json.at("measured").at("name"), json.at("measured").at("text")};
    request.plate = asked.at("plate");
    if (!asked.at("stage").is_null())
      request.stage = asked.at("stage") == "pilot" ? Stage::kPilot : Stage::kFinished;
    if (!asked.at("measured_in").is_null())
      request.measured_in = asked.at("measured_in") == "free" ? MeasuredIn::kFree : MeasuredIn::kDatum;
    if (!json.at("date").is_null()) request.date = json.at("date");
    return request;
  } catch (const Json::exception&) {
    return Problem{codes::kRecordUnread, name, "this is no record of a check, or parts of it are missing",
                   "name the .json file that --record wrote"};
  }
}

Problem tampered(const std::string& name, const std::string& what) {
  return {codes::kRecordTampered, name, what,
          "do not rely on it: check the plate again, and keep both records"};
}

/// What in the record does not agree with itself.
Problems disagreements(const Json& json, const CheckBack& again, const std::string& name) {
  Problems problems;
  Json body = json;
  body.erase("seal");
  if (json.value("seal", "") != seal_of(body))
    problems.push_back(tampered(name, "its seal is not that of what stands in it"));
  for (const char* input : {"plan", "measured"}) {
    if (json.at(input).value("sha256", "") != sha256_hex(json.at(input).at("text").get<std::string>()))
      problems.push_back(tampered(name, fmt::format("the hash of \"{}\" is not that of its text", input)));
  }
  // Numbers are compared as they are written.
  if (unsealed(again).dump() != body.dump())
    problems.push_back(tampered(name, "the check done again from its inputs comes to something else"));
  return problems;
}

Problem other_file(const std::string& record, const char* what, const std::string& file) {
  return {codes::kRecordOther, record, fmt::format("it was made from another {} than {}", what, file),
          "find the record that belongs to it"};
}

}  // namespace

std::string record_seal(const CheckBack& checked) { return seal_of(unsealed(checked)); }

std::string record_json(const CheckBack& checked) {
  Json json = unsealed(checked);
  json["seal"] = seal_of(json);
  return json.dump(1) + "\n";
}

Result<std::string> record_pdf(const CheckBack& checked) {
  InspectionRecord record{checked.job,
                          checked.request.date,
                          checked.inspection,
                          {},
                          checked.request.plan.name,
                          sha256_hex(checked.request.plan.text),
                          checked.request.measured.name,
                          sha256_hex(checked.request.measured.text),
                          record_seal(checked)};
  for (const ReadingKept& reading : checked.readings)
    record.readings.push_back(
        {reading.row, reading.text, reading.residual_mm, reading.rejected, reading.slip});
  return drawing::write_pdf(record_sheets(record), {checked.inspection.plate + ", check back", "fairhole",
                                                    unix_seconds(checked.request.date)});
}

Result<CheckBack> verify_record(const NamedText& record, const std::optional<NamedText>& plan,
                                const std::optional<NamedText>& measured) {
  const Result<Json> json = parse_json(record.text, record.name);
  if (!json) return json.problems();
  const bool ours = json->is_object() && json->value("format", Json("")) == kRecordFormat;
  const Result<CheckBackRequest> request = request_of(ours ? *json : Json::object(), record.name);
  if (!request) return request.problems();
  Problems problems;
  Result<CheckBack> again = check_back(*request);
  if (again) {
    problems = disagreements(*json, *again, record.name);
  } else {
    problems.push_back(tampered(record.name, "its inputs cannot be checked again"));
  }
  if (plan && plan->text != request->plan.text)
    problems.push_back(other_file(record.name, "plan", plan->name));
  if (measured && measured->text != request->measured.text)
    problems.push_back(other_file(record.name, "measurement", measured->name));
  if (!problems.empty()) return problems;
  return again;
}

}  // namespace fairhole::job
