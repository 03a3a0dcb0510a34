// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/fasteners/bolt.h"

namespace fairhole::fasteners {

/// The shortest bolt off the shelf whose nut neither bottoms nor lacks its threads past it, with plain
/// washers; and the note that its thread reaches into a layer, or that there is none.
void add_stock_bolt(const BoltRules& rules, const Catalogue& catalogue, BoltDesign& design);

}  // namespace fairhole::fasteners
