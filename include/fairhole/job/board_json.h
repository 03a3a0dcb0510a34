// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fairhole/base/result.h"
#include "fairhole/photo/board.h"

namespace fairhole::job {

/// BOARD.json: `{"units":"mm","boards":[{"name","dictionary","paper_mm","markers":[{"id","corners"}],
/// "check_bars":[...],"crosses":[...]}]}`, as docs/formats/board.md says; keys it does not know are passed
/// over. Problems: what Node finds, and those of photo::check_board().
Result<std::vector<photo::Board>> parse_boards(std::string_view text, const std::string& file);

/// One id of one dictionary may stand on one board alone. `boards` may come from several files.
Problems check_boards_differ(const std::vector<photo::Board>& boards);

std::string board_json(const photo::Board& board);

/// The sheet as a PDF of one page at full size.
Result<std::string> board_pdf(const photo::Board& board);

}  // namespace fairhole::job
