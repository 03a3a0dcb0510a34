// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "fairhole/inference/inference.h"

namespace fairhole::job {

/// Whether a measured file's frame is a convention only: survey output of shape alone ("shape_only": true).
bool is_shape_only(std::string_view measured_text);

/// The inference as JSON text (docs/formats/pattern.md, "infer --json").
std::string infer_json(const Inference& inference);

/// The same in a fitter's words.
std::string infer_text(const Inference& inference);

/// The pattern as a file that `register` and a job read: holes expanded, rows stated, doubts as data. Of the
/// other hand the pattern alone is mirrored (y -> -y); the doubts speak of the holes as measured. Problems:
/// those of `expand`, with `where`.
Result<std::string> pattern_file(const Inference& inference, bool other_hand, const std::string& where);

}  // namespace fairhole::job
