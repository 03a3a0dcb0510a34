// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "fairhole/base/problem.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/fasteners/bolt.h"
#include "fairhole/fasteners/bush.h"
#include "fairhole/fasteners/lists.h"
#include "fairhole/fasteners/rivet.h"
#include "fairhole/fasteners/sense_check.h"
#include "fairhole/fasteners/tapped.h"
#include "fairhole/fits/catalogue.h"

/// The fasteners of a plan: one for every stack, from its own layers; the same pieces together; what to turn,
/// rivet and buy. Pure data for paper and spreadsheets. mm.
namespace fairhole {

/// What the job says of making a fastener, beyond the sizes that fairing decides with.
struct FastenerMaking {
  std::optional<std::string> fit;       ///< of a fitted shank in its reamed hole; none: H7/k6
  std::optional<std::string> bush_fit;  ///< of a bush in its seat; none: H7/p6
  std::optional<std::string> thread;    ///< a series ("BSW") or one thread ("3/4 BSW"); none: thread_series()
  std::optional<std::string> head;  ///< made head of a rivet, or of the rivets a bolt looks like; none: snap
  std::optional<std::string> closing_head;  ///< none: snap
  std::optional<double> head_height_mm;     ///< of the neighbouring rivets; none: by proportion
  bool head_on_marked_face = true;
  std::optional<double> flat_from_axis_mm;
  std::optional<double> washer_mm;
  bool washer_under_head = false;
  bool lock_nut = false;
};

/// Threads of tapped and blind holes, by part, face and hole.
using TappedHoles = std::map<std::tuple<std::string, std::string, HoleId>, fasteners::TappedHole>;

struct ScheduleOptions {
  std::map<std::string, FastenerMaking> making;  ///< by the fastener's name in the job
  double thickness_within_mm = 0.5;              ///< every layer may be off by this, either way
  double turning_mm = 0.01;                      ///< band the lathe holds on a fitted shank
  const Catalogue* catalogue = nullptr;          ///< none: the program's own
  std::optional<double> bush_wall_mm;            ///< least wall of a bush; none: least_bush_wall_mm()
  TappedHoles tapped;
};

/// Where the job states no thread: BSW for a diameter in whole 1/16 in that is no whole mm, else metric.
std::string thread_series(double diameter_mm);

/// A hole and the plate (or old face) it is in.
struct HolePlace {
  std::string plate, id;
  friend bool operator==(const HolePlace&, const HolePlace&) = default;
};

/// The fastener of one stack.
struct StackFastener {
  HolePlace place;
  std::string name;  ///< of the fastener, as the job calls it
  fasteners::Kind kind = fasteners::Kind::kFittedBolt;
  double finish_mm = 0.0;
  std::string fit;                           ///< of a fitted shank; empty for others
  std::vector<fasteners::GripLayer> layers;  ///< head first
  std::optional<fasteners::BoltDesign> bolt;
  std::optional<fasteners::RivetDesign> rivet;
  /// The hole is reamed to whatever its old one asks for: length and thread are known, the shank's diameter
  /// only when the bore is finished and measured. `bolt->shank` is what the size as found would give.
  bool own_bore = false;
  std::string open;  ///< why there is no design: what is not known, what does not go; a sentence
  std::vector<std::string> notes;
};

/// Stacks that take the same piece.
struct FastenerPiece {
  std::string mark;  ///< "F1", "F2", ...: by this name it stands on the schedule and in the plan
  fasteners::Kind kind = fasteners::Kind::kFittedBolt;
  std::vector<std::size_t> stacks;  ///< indices into FastenerSchedule::stacks, at least one
  std::optional<SizeLimits> shank;  ///< serves all of them; none for rivets and where each has its own bore
  bool to_own_bore = false;
  double blank_mm = 0.0;  ///< to_own_bore: turned to this first; larger than any of its bores
  bool bought = false;    ///< a bolt off the shelf, a rivet
  std::optional<fasteners::TurningLine> turning;
};

/// The bush of one layer: pressed into its seat, its bore finished with the rest of the stack.
struct LayerBush {
  std::size_t stack = 0;  ///< index into FastenerSchedule::stacks
  std::string part, hole;
  double seat_mm = 0.0;         ///< nominal
  std::string seat_class;       ///< "H7"
  double finish_mm = 0.0;       ///< its bore, when finished
  double turned_bore_mm = 0.0;  ///< its bore when it is pressed in: the pilot's, or whole mm below the finish
  double length_mm = 0.0;       ///< the layer's thickness
  bool reamed = false;          ///< the bore takes a fitted shank: design->bore are its limits
  std::optional<fasteners::BushDesign> design;
  std::string open;  ///< why there is no design, a sentence
};

/// Bushes that are the same piece.
struct BushPiece {
  std::string mark;                 ///< "B1", "B2", ...
  std::vector<std::size_t> bushes;  ///< indices into FastenerSchedule::bushes, at least one, all designed
  std::optional<Bar> bar;           ///< none: the catalogue holds none so large
  double piece_mm = 0.0;            ///< bar for one
};

/// With so many sizes of shank the lathe may be off by so much: over all holes of one batch.
struct BatchTradeOff {
  std::string batch;
  std::size_t holes = 0;
  bool as_found = false;  ///< sizes of bores not reamed yet: what they would be
  std::vector<fasteners::GroupingChoice> choices;
};

struct FastenerSchedule {
  std::vector<StackFastener> stacks;  ///< in the order of the plan; left out are those without a fastener
  std::vector<FastenerPiece> pieces;
  std::vector<LayerBush> bushes;  ///< in the order of `stacks`
  std::vector<BushPiece> bush_pieces;
  std::vector<BatchTradeOff> trade_offs;
  std::vector<fasteners::BuyingLine> buying;
  std::vector<std::string> assumed;  ///< what the job did not state, in sentences
  double thickness_within_mm = 0.0;
  double turning_mm = 0.0;
  const FastenerPiece* piece_of(const HolePlace& place) const;
  const StackFastener* stack_of(const HolePlace& place) const;
  const BushPiece* piece_of_bush(std::size_t bush) const;
};

/// Every stack that the plan decides. What cannot be designed stays in the list with its reason (`open`); it
/// is nobody's fault that would stop a drilling.
FastenerSchedule schedule_fasteners(const Assembly& assembly, const Plan& plan,
                                    const ScheduleOptions& options = {});

/// One finding of the check of sense and the holes it holds for.
struct SenseFlag {
  std::string text;
  std::vector<HolePlace> places;
};
struct SenseReport {
  std::vector<SenseFlag> flags;
  std::string deferral;  ///< who decides; empty when nothing was checked
};
/// Distances, shear, bearing and section of every designed fastener beside the one that the job asks for. The
/// direction of load is not known: the nearest edge and the nearest hole are taken as lying along it.
SenseReport check_sense(const Assembly& assembly, const Plan& plan, const FastenerSchedule& schedule);

}  // namespace fairhole
