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

/// Seconds since 1970 of an ISO date at midnight; 0 for none. For the dates inside PDF files.
long long unix_seconds(const std::string& date);

/// DXF, template and drilling sheet of every layout. Problems of all of them.
Result<std::vector<ResultFile>> draw_plates(const std::vector<PlateLayout>& layouts,
                                            const std::vector<SeatPlan>& seats, const SheetTitle& title,
                                            const Outputs& outputs, const std::string& way_of_drilling);

/// NAME.ngc of every layout whose plate states fixture and work offset.
std::vector<ResultFile> drill_programs(const Job& job, const ReportInput& report);

/// Schedule, turning list and buying list: one PDF and a CSV file each; the work order of each plate.
Result<std::vector<ResultFile>> fastener_files(const ReportInput& report, const Outputs& outputs);

/// Each photographed face laid flat, as a file of its own: "PART-FACE-photo.svg".
Result<std::vector<ResultFile>> face_pictures(const std::vector<FaceFindings>& faces);

}  // namespace fairhole::job
