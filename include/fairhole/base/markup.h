// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace fairhole {

/// Text made safe inside XML and HTML, elements and quoted attributes alike: & < > " and ' as references.
/// Everything else is left as it is; what to do with control characters is the caller's business.
std::string escape_markup(std::string_view text);

}  // namespace fairhole
