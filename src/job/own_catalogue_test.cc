// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// The job key "catalogues": files of the shop's own sizes.
#include <gmock/gmock.h>

#include <fstream>

#include "layout_stage.h"
#include "test_job.h"

namespace fairhole::job::test {
namespace {

using testing::ElementsAre;

void write(const std::filesystem::path& path, const std::string& text) { std::ofstream(path) << text; }

Result<Job> with_files(const Scratch& folder, const nlohmann::ordered_json& names) {
  nlohmann::ordered_json job = sound_job();
  job["catalogues"] = names;
  return parse_job(job.dump(), "job.json", (folder / "").string());
}

TEST(OwnCatalogues, AreReadInOrderAndTheFirstIsFoundFirst) {
  const Scratch folder;
  write(folder / "drills.csv", "drill,prov,source\n18.95,user,reground\n");
  write(folder / "thick.csv",
        "washer,series,hole,outside,thickness,prov,source\n20,plain,21,40,9,user,cut\n");
  write(folder / "thin.csv", "washer,series,hole,outside,thickness,prov,source\n20,plain,21,40,2,user,cut\n");
  const auto job = with_files(folder, {"drills.csv", "thick.csv", "thin.csv"});
  ASSERT_TRUE(job.ok()) << describe(job.problems()[0]);
  EXPECT_EQ(washer_for(merged(job->own_catalogue, standard_catalogue()), "plain", 20)->thickness_mm, 9.0);
  ASSERT_EQ(job->rules.own_drills.size(), 1U);
  EXPECT_EQ(job->rules.own_drills[0].diameter_mm, 18.95);
  EXPECT_EQ(job->catalogue_files.size(), 3U);
}

TEST(OwnCatalogues, NameThreadsAndHeadsOfFasteners) {
  const Scratch folder;
  write(folder / "threads.csv",
        "thread,series,form,major,pitch,tap_drill,prov,tap_drill_prov,source\n18,works,metric,18,1.5 "
        "mm,16.5,user,user,"
        "old drawing\n");
  nlohmann::ordered_json job = sound_job();
  job["catalogues"] = {"threads.csv"};
  job["fasteners"]["bolt"]["thread"] = "works";
  const auto read = parse_job(job.dump(), "job.json", (folder / "").string());
  ASSERT_TRUE(read.ok()) << describe(read.problems()[0]);
  EXPECT_EQ(read->making.at("bolt").thread, "works");
  job.erase("catalogues");
  EXPECT_EQ(lines(parsed(job).problems()).size(), 1U) << "no such series without the file";
}

TEST(OwnCatalogues, EveryFaultOfEveryFileIsSaid) {
  const Scratch folder;
  write(folder / "cm.csv", "# unit: cm\ndrill,prov,source\n2.1,user,mine\n");
  write(folder / "short.csv", "washer,series,hole,outside,prov,source\n20,plain,21,40,user,mine\n");
  const auto job = with_files(folder, {"cm.csv", "gone.csv", "short.csv"});
  ASSERT_FALSE(job.ok());
  EXPECT_THAT(
      lines(job.problems()),
      ElementsAre(
          "E446 cm.csv: line 1: \"# unit: cm\" cannot be used; write \"# unit: mm\" or \"# unit: in\", once, "
          "above the header row",
          "E121 gone.csv: there is no such file; look at the name and the folder",
          "E446 short.csv: line 1: \"washer,series,hole,outside,prov,source\" is the header row of no table; "
          "write "
          "\"washer,series,hole,outside,thickness,prov,source\""));
  EXPECT_THAT(lines(with_files(folder, "drills.csv").problems()),
              ElementsAre(testing::StartsWith("E128 job.json: catalogues: ")));
}

}  // namespace
}  // namespace fairhole::job::test
