// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <string>

#include "fairhole/job/job.h"
#include "node.h"

/// One function a section of the job file. Each reads what stands there, records its problems in the node's
/// context and goes on; names are checked against each other afterwards (check_names.h).
namespace fairhole::job {

/// Patterns by name, in their own frame.
using Patterns = std::map<std::string, Pattern>;

Plate read_plate(Node node);
/// Threads are those of `catalogue`.
Part read_part(Node node, const Catalogue& catalogue);
/// Photographs of one face; `face` has its outline already.
PhotoSet read_photo_set(Node node, const Face& face);
/// `job` knows the folder of the pattern files named, and takes note of them.
Patterns read_patterns(Node& root, Job& job);
HoleGroup read_group(Node node, const Patterns& patterns);
Joint read_joint(Node node);
/// Measured holes by the drawn ones they are.
std::vector<PinnedPair> read_pins(Node& node);
/// Threads and heads are those of `catalogue`.
FastenerSpec read_fastener(const std::string& name, Node node, const Catalogue& catalogue,
                           FastenerMaking& making);
/// How the fastener is made and put in; asks for keys of its node.
FastenerMaking read_making(Node& node, const Catalogue& catalogue);
/// The catalogue files that the job names.
void read_catalogues(Node& root, Job& job);
/// Rules and costs.
void read_rules(Node& root, Job& job);
Outputs read_outputs(Node& root);

/// An outline of at least three points that encloses something and does not cross itself, turned
/// counter-clockwise. `where_key` names its key in messages.
std::vector<Eigen::Vector2d> read_outline_mm(Node& node, const char* key);

/// {x, y, turn_deg}: where a datum corner stands and where its x axis points.
Motion read_place(Node node);

}  // namespace fairhole::job
