// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <initializer_list>
#include <nlohmann/json.hpp>
#include <string>

#include "fairhole/base/problem.h"
#include "fairhole/bench/requests.h"
#include "fairhole/job/job.h"

/// What the single answers are made of.
namespace fairhole::bench {

using Json = nlohmann::ordered_json;

/// [{"code", "where", "what", "remedy"}]
Json problems_json(const Problems& problems);

/// The body as an object with a text under each of `keys`. Problem: kBenchRequest.
Result<Json> texts_of(const Request& request, std::initializer_list<const char*> keys);

/// 200 with this body; text that is no UTF-8 is mended rather than refused.
Reply json_reply(const Json& body, int status = 200);

/// {"problems"}; 409 where somebody else changed a file, 404 for what is not there, else 400.
Reply problem_reply(const Problems& problems);

/// What the job describes, as outlines to draw: {"plates": [{"name", "hand", "outline", "joint_line",
/// "keep_outs", "holes", "faces"}], "faces": [...]}. A carrier's holes and the faces on it stand in its own
/// frame. mm, degrees.
Json sketch_json(const job::Job& job);

/// One readings file, adjusted: {"survey", "suspects": [{"row", "words"}], "unchecked", "next": [{"words",
/// "gain"}], "problems"}. `survey` is null where there are problems. `quick`: places alone, for a sketch that
/// follows the typing.
Json readings_json(const std::string& text, const std::string& name, bool quick = false);

/// The kinds of readings: [{"kind", "to": "hole" | "line" | "set-up" | "direction" | ""}], `to` being what
/// its second name is.
Json kinds_json();

/// A file of the page: index.html, bench.js, ...; nothing for other names.
std::optional<Reply> page_file(const std::string& name);

}  // namespace fairhole::bench
