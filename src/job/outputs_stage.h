// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fairhole/job/run.h"

/// The last stage of a run: layouts and findings become files.
namespace fairhole::job {

/// What the job and the command line together ask for.
Result<Outputs> wanted_outputs(const Outputs& of_job, const RunOptions& options);

/// "2026-11-25": the job's date, else that of SOURCE_DATE_EPOCH, else empty.
std::string run_date(const Job& job, const RunOptions& options);

/// DXF, template and drilling sheet of every layout. Problems of all of them.
Result<std::vector<ResultFile>> draw_plates(const std::vector<PlateLayout>& layouts,
                                            const std::vector<SeatPlan>& seats, const SheetTitle& title,
                                            const Outputs& outputs, const std::string& way_of_drilling);

/// Each photographed face laid flat, as a file of its own: "PART-FACE-photo.svg".
Result<std::vector<ResultFile>> face_pictures(const std::vector<FaceFindings>& faces);

}  // namespace fairhole::job
