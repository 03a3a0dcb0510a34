// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>

#include "dxf_groups.h"

namespace fairhole::drawing::dxf {

/// Handles of the records that others refer to.
inline const std::string kRootDictionary = "C";
inline const std::string kGroupDictionary = "D";
inline const std::string kPlotStyleDictionary = "E";
inline const std::string kPlotStyle = "F";
inline const std::string kLayoutDictionary = "1A";
inline const std::string kModelRecord = "1F";
inline const std::string kPaperRecord = "1B";
inline const std::string kModelLayout = "22";
inline const std::string kPaperLayout = "1E";

/// HEADER and, where the version has it, the empty CLASSES section. `next_handle`: $HANDSEED.
void put_header(DxfGroups& out, const Box& extents, const std::string& next_handle);

/// TABLES and BLOCKS. `names`: the layers' names as this file spells them.
void put_tables(DxfGroups& out, std::span<const Layer> layers, std::span<const std::string> names,
                const Box& extents);

/// OBJECTS; nothing in R12.
void put_objects(DxfGroups& out);

}  // namespace fairhole::drawing::dxf
