// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/angle.h"
#include "fairhole/base/length.h"
#include "fairhole/drawing/tiles.h"
#include "fairhole/drawing/writers.h"
#include "fairhole/fairing/assemble.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/rules.h"
#include "fairhole/geometry/pose.h"
#include "fairhole/pattern/hole.h"
#include "fairhole/pattern/pattern.h"
#include "fairhole/registration/registration.h"
#include "fairhole/report/drill_program.h"
#include "fairhole/schedule/schedule.h"

/// A job as the job file states it (docs/formats/job.md), every length in mm, every name resolved.
namespace fairhole::job {

/// By how much a plate that is welded to the old one after drilling is pulled, plate frame.
struct Pull {
  Eigen::Vector2d shift_mm = Eigen::Vector2d::Zero();
  double sigma_mm = 0.0;
};

struct Plate {
  std::string name;
  std::string hand;         ///< "LEFT", "RIGHT" or empty; as seen from the machine's rear, looking to the toe
  std::string marked_face;  ///< which face is looked at and marked: "outer"
  double thickness_mm = 0.0;
  std::string material;
  std::vector<Eigen::Vector2d> outline_mm;  ///< counter-clockwise, origin at the datum corner
  std::vector<KeepOut> keep_outs;
  std::optional<std::pair<Eigen::Vector2d, Eigen::Vector2d>> joint_line_mm;
  bool joined_after_drilling = false;
  std::optional<Pull> pull;
  DrillingWay drilled = DrillingWay::kMarkedOut;
  std::optional<DrillSetup> drill_setup;  ///< how it lies on the mill; none: no drill program
};

/// What the job says of one old hole beyond the readings.
struct HoleNote {
  std::optional<HoleForm> form;
  bool fixed = false;  ///< a datum hole: must not move
  std::optional<bool> may_be_opened;
  std::optional<double> largest_mm;  ///< largest finish diameter this hole takes
  std::optional<fasteners::TappedHole> tapped;
};

/// What a person says of a place in the pictures, in the frame of the reading (board or scan).
struct HandMark {
  Eigen::Vector2d at_mm = Eigen::Vector2d::Zero();
  bool is_hole = true;  ///< else whatever is seen there is none
  HoleId name;          ///< empty: none given
};

/// Photographs, or a rubbing, of one face that are read together.
struct PhotoSet {
  std::vector<std::string> files;                   ///< relative to the job's folder
  std::vector<std::string> boards;                  ///< BOARD.json files; empty for a scan
  std::map<std::string, Eigen::Vector2d> check_mm;  ///< by board: what its x and y bars measured
  std::map<std::string, double> lift_mm;            ///< by board
  std::string frame;                                ///< a board's name, or empty
  std::vector<double> expect_mm;
  std::optional<double> focal_px, dpi;
  bool rubbing = false;
  /// Where the frame board's (or scan's) lower left corner lies on the face, and where its x points; mirrored
  /// where the other side of the metal was photographed.
  Motion face_from_board;
  double at_sigma_mm = 10.0;
  Angle turn_sigma = Angle::degrees(3.0);
  std::vector<std::string> edges;  ///< datum edges that the photographs show
  std::vector<HandMark> by_hand;
};

struct Face {
  std::string name;
  double thickness_mm = 0.0;
  std::vector<Eigen::Vector2d>
      outline_mm;                       ///< counter-clockwise, face frame (seen looking at the measured side)
  std::vector<bool> free_edges;         ///< one an outline edge: true where metal ends (edge distance counts)
  std::vector<std::string> edge_names;  ///< one an outline edge
  Surface measured_from = Surface::kOuter;  ///< the side that was looked at
  std::string datum_end;                    ///< words: which end of the part the datum corner lies at
  std::vector<std::string> readings;        ///< files, relative to the job's folder
  std::vector<PhotoSet> photos;             ///< at least one of both
  double heel_fillet_mm = 0.0;              ///< 0 for none; the heel is the long datum edge
  double toe_radius_mm = 0.0;               ///< 0 for none; at the long edge away from the datum
  bool may_be_opened = true;
  std::map<HoleId, HoleNote> holes;
  /// The face of the same part that lies on the other side of it, outline over outline.
  struct Opposite {
    std::string face;
    bool same_way = true;  ///< x of both faces runs the same way in space
  };
  std::optional<Opposite> opposite;
  /// Of a face that carries hole groups: which of its own holes is which of the drawing's.
  std::vector<PinnedPair> pins;
};

struct Part {
  std::string id;
  std::string kind;  ///< "angle", "beam", ... a word for people; "old plate" may lie beside the new one
  std::vector<Face> faces;
};

/// What the user decided about one hole of a group.
struct HoleOverride {
  std::optional<std::string> method;
  std::optional<double> finish_mm;
};

/// Holes on one carrier (a plate, or a face of an old part) for one fastener. Ids are unique on the carrier.
struct HoleGroup {
  std::string name;
  std::string on;  ///< plate name or "part/face"
  Pattern holes;   ///< carrier frame
  std::string fastener;
  double packing_mm = 0.0;
  std::map<HoleId, HoleOverride> overrides;
};

struct Joint {
  std::string name;
  std::string part, face;
  std::string on;              ///< carrier: plate name or "part/face"
  bool on_marked_face = true;  ///< the part lies on the carrier's marked (for an old face: measured) side
  PlateFromFace seat;          ///< nominal; already mirrored where side and measuring side ask for it
  Play play;
  std::vector<std::string> groups;
  std::vector<HoleId> blank;        ///< ids of the groups' holes where the part is known to have none
  std::vector<PinnedPair> pins;     ///< holes that somebody recognised
  std::optional<SeatShift> pinned;  ///< the user's own seat, within the play; `play` is then this one place
  bool tied_to_old_plate = false;   ///< the part also sits on the old plate, across the joint line
};

/// Two plates that are, or could be, drilled clamped together.
struct PlatesTogether {
  std::string a, b;
  bool together = true;
  Motion b_from_a;  ///< from the holes of one name that both have
};

struct Outputs {
  drawing::Paper paper{"A4", 210.0, 297.0};
  double mark_step_mm = 0.5;
  bool inches = false;
  std::optional<double> template_check_x_mm, template_check_y_mm;
  bool single_sheet = false;
  bool mirrored_template = false;
  drawing::DxfVersion dxf = drawing::DxfVersion::kR2000;
  bool dxf_pilots = false;
  bool page_pictures = false;  ///< asked for by a run alone
};

struct Job {
  std::string folder;  ///< where relative file names start
  std::string file;    ///< as given, for messages
  std::string title;
  std::string date;                          ///< ISO; empty when the job has none
  std::vector<std::string> pattern_files;    ///< read already; relative to the folder
  std::vector<std::string> catalogue_files;  ///< the same
  Catalogue own_catalogue;                   ///< of these files; of equal rows the first file's is found
  std::vector<Plate> plates;
  std::vector<Part> parts;
  std::vector<HoleGroup> groups;
  std::vector<Joint> joints;
  std::vector<PlatesTogether> pairs;
  std::map<std::string, FastenerSpec> fasteners;
  std::map<std::string, FastenerMaking> making;  ///< by the same names
  double thickness_within_mm = 0.5;              ///< every layer of a grip may be off by this, either way
  double turning_mm = 0.01;                      ///< band the lathe holds on a fitted shank
  double contact_slack_mm = 0.5;                 ///< faces that contact holds together may disagree by this
  FairingRules rules;                            ///< `drilling` as the plates' way and the marks ask for
  AssembleOptions assembling;
  Outputs outputs;

  const Plate* plate(const std::string& name) const;
  const Part* part(const std::string& id) const;
  const Face* face(const std::string& part_id, const std::string& face_name) const;
  const Face* carrying_face(const std::string& on) const;  ///< of "part/face"; null for a plate
  const HoleGroup* group(const std::string& name) const;
};

}  // namespace fairhole::job
