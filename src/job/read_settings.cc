// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <filesystem>

#include "fairhole/job/files.h"
#include "fairhole/job/load.h"
#include "read_sections.h"

namespace fairhole::job {
namespace {

constexpr Bounds kRatio{0.5, 20.0};
constexpr Bounds kCheckBarMm{10.0, 2000.0};  // what a check bar may measure on a print
constexpr Bounds kMarkMm{0.01, 5.0};         // marks are rounded to: nobody marks coarser or finer

/// The user's own ratios hold along and across the load alike.
void read_edges(Node& node, const char* edge_key, const char* pitch_key, EdgeRule& rule) {
  if (node.has(edge_key)) rule.end_ratio = rule.edge_ratio = node.number(edge_key, kRatio);
  if (node.has(pitch_key)) rule.pitch_ratio = rule.gauge_ratio = node.number(pitch_key, kRatio);
}

}  // namespace

void read_catalogues(Node& root, Job& job) {
  job.catalogue_files = root.texts("catalogues");
  for (const std::string& name : job.catalogue_files) {
    const Result<std::string> text = read_file((std::filesystem::path(job.folder) / name).string(), name);
    const Result<Catalogue> own = text ? parse_catalogue(*text, name) : Result<Catalogue>(text.problems());
    if (own) {
      job.own_catalogue = merged(job.own_catalogue, *own);
    } else {
      append(root.context().problems, own.problems());
    }
  }
}

void read_rules(Node& root, Job& job) {
  FairingRules& rules = job.rules;
  if (std::optional<Node> node = root.child("rules")) {
    rules.confidence = node->number("confidence", {0.5, 0.9999}, rules.confidence);
    read_edges(*node, "edge_distance_diameters", "pitch_diameters", rules.edges.wanted);
    read_edges(*node, "least_edge_distance_diameters", "least_pitch_diameters", rules.edges.least);
    rules.setting_sigma_mm = node->length_mm("setting_sigma", kNotNegative, rules.setting_sigma_mm);
    if (node->has("least_bush_wall")) rules.bush_wall_mm = node->length_mm("least_bush_wall", kAboveZero);
    job.thickness_within_mm = node->length_mm("thickness_within", {0.0, 10.0}, job.thickness_within_mm);
    job.turning_mm = node->length_mm("turning_within", {0.001, 1.0}, job.turning_mm);
    job.contact_slack_mm = node->length_mm("contact_slack", {0.0, 10.0}, job.contact_slack_mm);
    rules.draws = node->whole("draws", {100.0, 1e7}, rules.draws);
    job.assembling.tilt_sigma =
        Angle::degrees(node->number("tilt_sigma_deg", {0.0, 10.0}, job.assembling.tilt_sigma.degrees()));
    node->done();
  }
  CostWeights& costs = rules.costs;
  if (std::optional<Node> node = root.child("costs")) {
    costs.plug = node->number("plug", kNotNegative, costs.plug);
    costs.bush = node->number("bush", kNotNegative, costs.bush);
    costs.odd_size = node->number("odd_size", kNotNegative, costs.odd_size);
    costs.oversize = node->number("oversize", kNotNegative, costs.oversize);
    costs.metal_per_cm3 = node->number("metal_per_cm3", kNotNegative, costs.metal_per_cm3);
    node->done();
  }
}

Outputs read_outputs(Node& root) {
  Outputs outputs;
  std::optional<Node> node = root.child("outputs");
  if (!node) return outputs;
  const Result<drawing::Paper> paper = drawing::paper_from_name(node->word("paper", {"A4", "A3", "Letter"}));
  if (paper) outputs.paper = *paper;
  outputs.mark_step_mm = node->length_mm("mark_to", kMarkMm, outputs.mark_step_mm);
  outputs.inches = node->yes("inches", false);
  if (node->has("template_check_x"))
    outputs.template_check_x_mm = node->length_mm("template_check_x", kCheckBarMm, 100.0);
  if (node->has("template_check_y"))
    outputs.template_check_y_mm = node->length_mm("template_check_y", kCheckBarMm, 100.0);
  outputs.single_sheet = node->yes("single_sheet", false);
  outputs.mirrored_template = node->yes("mirrored_template", false);
  if (node->word("dxf", {"R2000", "R12"}) == "R12") outputs.dxf = drawing::DxfVersion::kR12;
  outputs.dxf_pilots = node->yes("dxf_pilots", false);
  node->done();
  return outputs;
}

}  // namespace fairhole::job
