// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "dxf_groups.h"

namespace fairhole::drawing {

/// One mark as an entity of the model space, on the layer called `layer` in this file. Nothing for blank text
/// and for the paper's ink.
void put_entity(DxfGroups& out, const Mark& mark, const std::string& layer);

}  // namespace fairhole::drawing
