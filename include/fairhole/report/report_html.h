// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fairhole/base/problem.h"
#include "fairhole/base/result.h"
#include "fairhole/fairing/assembly.h"
#include "fairhole/fairing/joint_seats.h"
#include "fairhole/fairing/plan.h"
#include "fairhole/layout/layout.h"
#include "fairhole/pattern/hole.h"
#include "fairhole/pattern/pattern.h"
#include "fairhole/registration/registration.h"
#include "fairhole/report/face_picture.h"
#include "fairhole/report/registration_picture.h"
#include "fairhole/report/sheets.h"
#include "fairhole/schedule/schedule.h"

/// The report of a run: one self-contained page. Everything in ReportInput is data of lower modules or plain
/// text; every text is escaped when it is written, so a name may hold any character.
namespace fairhole {

/// One tape or caliper reading after the adjustment. Lengths in mm, seen in the face's frame.
struct ReadingFinding {
  int row = 0;                   ///< data row of the readings file, from 1
  std::string text;              ///< as a fitter says it: "along to A7, 4 3/16 in"
  double residual_mm = 0.0;      ///< reading minus adjusted
  std::optional<double> w;       ///< standardised residual; absent when nothing checks the reading
  double redundancy = 0.0;       ///< 0: nothing checks it, 1: fully checked
  std::optional<double> mdb_mm;  ///< smallest blunder that would be found
  bool rejected = false;         ///< left out of the adjustment
  std::string slip;              ///< "the 100 mm start was not taken off"; empty when no slip explains it
  double slip_odds = 0.0;        ///< 0..1 that this slip is the right explanation; 0 without a slip
};

/// One more reading worth taking.
struct ReadingToTake {
  std::string text;      ///< "A3 to A9, over centres"
  double gain_mm = 0.0;  ///< by which the largest 95 % semi-axis shrinks
};

/// What the survey found on one face.
struct FaceFindings {
  std::string part, face;
  std::string source;                    ///< "readings/near.csv", "photo", "drawing"
  MeasuredFace measured;                 ///< face frame
  std::vector<ReadingFinding> readings;  ///< all of them, in the order of the file
  std::vector<ReadingToTake> next;       ///< best first
  int dof = 0;
  double chi2_p = 1.0;                     ///< of the global test, after rejections
  bool shape_only = false;                 ///< no datum reading: the shape is known, not where it lies
  std::vector<std::string> remarks;        ///< "The corner is 0.4 degree over square."
  std::vector<FacePicture> pictures = {};  ///< of its photographs, laid flat
};

/// How one face was registered to the drawing's pattern and sits on its plate.
struct JointFindings {
  std::string part, face, joint, plate;  ///< the same four names as in SeatPlan
  Pattern pattern;                       ///< pattern frame, as the registration used it
  MeasuredFace measured;                 ///< face frame, as the registration used it
  Registration registration;
  std::string datum_end;             ///< which end of the part the datum corner lies at; may be empty
  bool long_edge_is_heel = false;    ///< an angle's leg: its long datum edge is the heel
  std::vector<std::string> remarks;  ///< "The angle is still bowed 1.2 mm."
  std::optional<Distortion> distortion = {};  ///< none: not looked for
  DistortionNames distortion_names = {};
  std::vector<PinnedPair> pins = {};  ///< holes that the job says which they are
  bool seat_pinned = false;           ///< the user's own seat
};

/// Faces that one freedom moves: contact or their part's own stiffness holds them together.
struct MovingTogether {
  struct Place {
    std::string part, plate;
  };
  std::string what;  ///< "near angle along its heel"
  std::vector<Place> places;
};

/// One freedom of the parts: what may move, and where the plan has it.
struct MoverAt {
  Mover mover;                      ///< its followers' seats are numbers in `joints`
  SeatMove at;                      ///< from the nominal seats, as near as the search tells
  std::vector<std::string> joints;  ///< one a follower
};

/// A file the run wrote beside the report.
struct WrittenFile {
  std::string name;     ///< relative to the report: "toe-left-sheet.pdf"
  std::string purpose;  ///< "drilling sheet, left plate"
};

struct ReportInput {
  SheetTitle title;
  Plan plan;                         ///< may be empty when the data could not give one
  std::vector<PlateLayout> layouts;  ///< one a new plate
  FastenerSchedule schedule;         ///< empty when there is no plan
  SenseReport sense;
  std::vector<FaceFindings> faces;
  std::vector<JointFindings> joints;
  std::vector<MovingTogether> together;
  std::vector<MoverAt> movers;    ///< all freedoms of the parts, for who moves one by hand
  double contact_slack_mm = 0.0;  ///< by which faces that are held together may still disagree
  std::vector<std::string>
      open_loops;                     ///< warnings of parts whose own holes pull apart what must move as one
  Problems problems;                  ///< what kept the run from an answer, or part of it
  std::vector<std::string> warnings;  ///< besides those of the plan
  std::string way_of_drilling;        ///< what the odds are for: "marked out by hand", "template", "CNC"
  bool not_to_be_drilled = false;     ///< a banner says so, and no plate is drawn as ready
  std::vector<WrittenFile> files;
};

/// The whole report.html: inline style and SVG, no script, nothing fetched; UTF-8. Problems: those of
/// drawing::write_svg (non-finite numbers).
Result<std::string> report_html(const ReportInput& input);

}  // namespace fairhole
