// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/bench/requests.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "../job/test_job.h"
#include "fairhole/job/run.h"
#include "fairhole/survey/readings.h"

namespace fairhole::bench {
namespace {

using job::test::Scratch;
using nlohmann::json;
using ::testing::HasSubstr;

const std::string kHost = "127.0.0.1:8017";

Request get(const std::string& path) { return {"GET", path, kHost, "", "", ""}; }
Request ask(const std::string& method, const std::string& path, const json& body) {
  return {method, path, kHost, "http://" + kHost, "application/json", body.dump()};
}

/// A bench on the worked example. `program` stands in for fairhole.
class BenchTest : public ::testing::Test {
 protected:
  BenchTest() {
    EXPECT_TRUE(job::write_example((scratch_ / "job").string()).empty());
    begin("/bin/true");
  }
  void begin(const std::string& program) {
    bench_.reset();
    const std::string folder = (scratch_ / "job").string();
    bench_ = std::make_unique<Bench>(*JobFolder::open(folder), folder, program, Access{{kHost}});
  }
  json told(const Request& request, int status = 200) {
    const Reply reply = bench_->answer(request);
    EXPECT_EQ(reply.status, status) << reply.body;
    return json::parse(reply.body);
  }

  Scratch scratch_;
  std::unique_ptr<Bench> bench_;
};

TEST_F(BenchTest, TellsTheJobWithASketch) {
  const json about = told(get("/api/job"));
  EXPECT_TRUE(about["problems"].empty());
  ASSERT_EQ(about["sketch"]["plates"].size(), 1U);
  const json& plate = about["sketch"]["plates"][0];
  EXPECT_EQ(plate["holes"].size(), 4U);
  // The example's bracket: 8 x 5 in, datum corner at (80, 60), not turned, seen from its outer side.
  const json& face = plate["faces"][0];
  EXPECT_EQ(face["datum_corner"], json::parse("[80.0, 60.0]"));
  EXPECT_NEAR(face["outline"][2][0], 80.0 + 8 * 25.4, 1e-9);
  EXPECT_NEAR(face["outline"][2][1], 60.0 + 5 * 25.4, 1e-9);
}

TEST_F(BenchTest, ProblemsNameTheFieldAndTheFileStaysEditable) {
  json view = told(get("/api/files/job.json"));
  std::string text = view["text"];
  text.replace(text.find("\"8 in\""), 6, "\"8 ft oo\"");
  told(ask("PUT", "/api/files/job.json", {{"text", text}, {"stamp", view["stamp"]}, {"what", "a slip"}}));
  const json about = told(get("/api/job"));
  EXPECT_TRUE(about["sketch"].is_null());
  ASSERT_EQ(about["problems"].size(), 1U);
  EXPECT_THAT(std::string(about["problems"][0]["where"]), HasSubstr("parts[0].faces[0].length"));
  EXPECT_EQ(about["undo"], "a slip");
  told(ask("POST", "/api/undo", json::object()));
  EXPECT_TRUE(told(get("/api/job"))["problems"].empty());
}

TEST_F(BenchTest, AStaleChangeIsAClash) {
  const json view = told(get("/api/files/job.json"));
  const auto save = [&](const char* text) {
    return ask("PUT", "/api/files/job.json", {{"text", text}, {"stamp", view["stamp"]}, {"what", "w"}});
  };
  told(save("{}"));
  const json clash = told(save("[]"), 409);
  EXPECT_EQ(clash["problems"][0]["code"], "E191");
  EXPECT_EQ(told(get("/api/files/job.json"))["text"], "{}");
}

TEST_F(BenchTest, SuspectReadingsAreToldInWords) {
  // One face of four holes; across to B is 10 mm off what everything else says.
  const std::string text =
      "kind,from,to,reading,sigma,note\nalong,A,,10,0.3,\nacross,A,,10,0.3,\nalong,B,,110,0.3,\nacross,B,,20,"
      "0.3,\n"
      "along,C,,10,0.3,\nacross,C,,60,0.3,\nalong,D,,110,0.3,\nacross,D,,60,0.3,\ncentres,A,B,100,0.3,\n"
      "centres,C,D,100,0.3,\ncentres,A,C,50,0.3,\ncentres,B,D,50,0.3,\ncentres,A,D,111.8,0.3,\ncentres,B,C,"
      "111.8,0.3,\n";
  const json found = told(ask("POST", "/api/readings", {{"name", "x.csv"}, {"text", text}}));
  ASSERT_EQ(found["suspects"].size(), 1U);
  EXPECT_EQ(found["suspects"][0]["row"], 4);
  EXPECT_THAT(std::string(found["suspects"][0]["words"]), HasSubstr("misread by 10 mm"));
  const json quick = told(ask("POST", "/api/readings", {{"name", "x.csv"}, {"text", text}, {"quick", true}}));
  EXPECT_EQ(quick["survey"]["holes"].size(), 4U);
  EXPECT_TRUE(quick["suspects"].empty());
  const json wrong = told(ask("POST", "/api/readings", {{"name", "x.csv"}, {"text", "kind,from\n"}}));
  EXPECT_TRUE(wrong["survey"].is_null());
  EXPECT_FALSE(wrong["problems"].empty());
}

TEST_F(BenchTest, AnEmptyFolderBeginsWithTheExampleOrNothing) {
  for (const char* with : {"example", "nothing"}) {
    const std::string folder = (scratch_ / with).string();
    std::filesystem::create_directory(folder);
    Bench bench(*JobFolder::open(folder), folder, "/bin/true", Access{{kHost}});
    const Request begin = ask("POST", "/api/begin", {{"with", with}});
    EXPECT_EQ(bench.answer(begin).status, 200);
    const json about = json::parse(bench.answer(get("/api/job")).body);
    EXPECT_TRUE(about["problems"].empty());
    EXPECT_EQ(about["sketch"]["plates"].size(), with == std::string("example") ? 1U : 0U);
    EXPECT_EQ(bench.answer(begin).status, 409);  // never over a job that is there
  }
}

TEST_F(BenchTest, OnlyItsOwnPageMayAsk) {
  Request request = get("/api/job");
  request.host = "evil.example:8017";  // a name made to point here
  told(request, 403);
  request = get("/api/job");
  request.origin = "http://evil.example";
  told(request, 403);
  request = ask("POST", "/api/undo", json::object());
  request.content_type = "text/plain";  // what a form of another site can send without asking
  told(request, 403);
  request.content_type = "application/json";
  request.host = "";
  told(request, 403);
}

TEST_F(BenchTest, NoPathLeavesTheJob) {
  for (const char* path :
       {"/api/files/../job.json", "/api/files//etc/passwd", "/api/files/.fairhole/history.jsonl",
        "/results/../run.txt", "/results/.hidden", "/../../etc/passwd", "/etc/passwd", "/bench.cc"})
    told(get(path), 404);
}

TEST_F(BenchTest, NonsenseIsRefusedInWords) {
  Request request = ask("PUT", "/api/files/job.json", json::object());
  EXPECT_EQ(told(request, 400)["problems"][0]["code"], "E194");
  request.body = "{\"text\": [[[";
  told(request, 400);
  told(ask("POST", "/api/readings", {{"name", 3}, {"text", nullptr}}), 400);
  told(get("/api/nothing"), 404);
  told(ask("DELETE", "/api/files/job.json", json::object()), 400);
}

Request picture(const std::string& name, const std::string& bytes) {
  return {"PUT", "/api/pictures/" + name, kHost, "http://" + kHost, "image/x-fairhole", bytes};
}

TEST_F(BenchTest, PicturesAreKeptAndNeverReplaced) {
  const std::string folder = FAIRHOLE_SOURCE_DIR "/fixtures/jobs/wharf-crane/photos/";
  const std::string one = *job::read_file(folder + "beam-1.jpg", ""),
                    other = *job::read_file(folder + "beam-2.jpg", "");
  EXPECT_EQ(told(picture("IMG 1.jpg", one))["file"], "photos/IMG 1.jpg");
  EXPECT_EQ(told(picture("IMG 1.jpg", one))["file"], "photos/IMG 1.jpg");
  EXPECT_EQ(told(picture("IMG 1.jpg", other))["file"], "photos/IMG 1-2.jpg");
  EXPECT_EQ(*job::read_file((scratch_ / "job/photos/IMG 1.jpg").string(), ""), one);
}

TEST_F(BenchTest, WhatIsNoPictureIsRefused) {
  for (const char* name : {"../x.jpg", ".x.jpg", "x.html", "a/x.jpg", "x.jpg\n"})
    EXPECT_EQ(told(picture(name, "x"), 404)["problems"][0]["code"], "E192") << name;
  EXPECT_EQ(told(picture("x.jpg", "<script>"), 400)["problems"][0]["code"], "E340");
  Request form = picture("x.jpg", "x");
  form.content_type = "multipart/form-data";  // what a form of another site can send without asking
  told(form, 403);
  const json large =
      told(picture("x.jpg", std::string(kMostPictureBytes + (1U << 20U), 'x')), 413)["problems"][0];
  EXPECT_EQ(large["code"], "E783");
  EXPECT_EQ(large["where"], "/api/pictures/x.jpg");
  EXPECT_EQ(large["what"], "49 MB is more than the bench takes");
  EXPECT_EQ(large["remedy"], "take the picture in a smaller size, 12 megapixels or so");
  told(ask("PUT", "/api/files/x.csv", std::string(kMostBodyBytes + 1, 'x')), 413);
}

TEST_F(BenchTest, PhotographsAreReadFromTheJobAlone) {
  const auto photos = [](const char* part, const char* set, const char* what) {
    return ask("POST", "/api/photos", {{"part", part}, {"face", "foot"}, {"set", set}, {"do", what}});
  };
  const json missing = told(photos("bracket", "0", "look"), 400)["problems"][0];
  EXPECT_EQ(missing["code"], "E784");
  EXPECT_EQ(missing["where"], "bracket, foot");
  EXPECT_EQ(missing["what"], "the job names no such photographs");
  EXPECT_EQ(missing["remedy"], "look whether they were taken away meanwhile");
  told(photos("nobody", "0", "look"), 400);
  json view = told(get("/api/files/job.json"));
  json changed = json::parse(std::string(view["text"]));
  changed["parts"][0]["faces"][0]["photos"] = {
      {{"files", {"../../secret.jpg"}}, {"dpi", 300}, {"at", {{"x", 0}, {"y", 0}}}}};
  changed["joints"] = "not finished";  // elsewhere in the job: does no harm here
  told(
      ask("PUT", "/api/files/job.json", {{"text", changed.dump()}, {"stamp", view["stamp"]}, {"what", "w"}}));
  EXPECT_EQ(told(photos("bracket", "0", "start"), 404)["problems"][0]["code"], "E192");
  for (const char* path : {"/flat/../job.json", "/flat/0123.jpg", "/flat/zz3456789012345678901234.jpg",
                           "/flat/012345678901234567890123.jpg"})
    told(get(path), 404);
}

TEST_F(BenchTest, BoardsArePrintedAndPutIntoTheJob) {
  const Reply pdf = bench_->answer(get("/boards/A4-3.pdf"));
  EXPECT_EQ(pdf.body.substr(0, 5), "%PDF-");
  EXPECT_EQ(told(ask("POST", "/api/board", {{"name", "A4-3"}}))["file"], "photos/board-A4-3.json");
  EXPECT_EQ(told(get("/api/job"))["undo"], "board A4-3 added");
  EXPECT_EQ(told(ask("POST", "/api/board", {{"name", "A4-99"}}), 400)["problems"][0]["code"], "E346");
  told(ask("POST", "/api/board", {{"name", "A4"}}), 400);
  told(get("/boards/x"), 400);
}

TEST_F(BenchTest, ThePageIsAllThere) {
  const Reply page = bench_->answer(get("/"));
  EXPECT_EQ(page.type, "text/html; charset=utf-8");
  EXPECT_THAT(page.body, HasSubstr("src=\"/bench.js\""));
  for (const char* name : {"/bench.js", "/bench.css", "/form.js", "/job.schema.json"})
    EXPECT_EQ(bench_->answer(get(name)).status, 200) << name;
}

TEST_F(BenchTest, AWorkerCanBeStopped) {
  const std::string slow = (scratch_ / "slow").string();
  std::ofstream(slow) << "#!/bin/sh\nexec sleep 60\n";
  std::filesystem::permissions(slow, std::filesystem::perms::owner_all);
  begin(slow);
  EXPECT_TRUE(told(ask("POST", "/api/run", {{"do", "start"}}))["working"]);
  const json stopped = told(ask("POST", "/api/run", {{"do", "stop"}}));
  EXPECT_FALSE(stopped["working"]);
  EXPECT_TRUE(stopped["exit"].is_null());
  begin("/nowhere/fairhole");
  EXPECT_EQ(told(ask("POST", "/api/run", {{"do", "start"}}), 400)["problems"][0]["code"], "E196");
}

TEST_F(BenchTest, AWorkersEndIsTold) {
  begin("/bin/false");
  told(ask("POST", "/api/run", {{"do", "start"}}));
  const json from = told(get("/api/job"))["state"];
  EXPECT_EQ(told(get("/api/run"))["worked_from"], from);
  json state;
  do {
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
    state = told(get("/api/run"));
  } while (state["working"]);
  EXPECT_EQ(state["exit"], 1);
  begin("/bin/true");  // another bench, later, still knows what the results were made from
  EXPECT_EQ(told(get("/api/run"))["worked_from"], from);
}

TEST_F(BenchTest, WhatIsNotSavedYetCanBeSeen) {
  json job = json::parse(std::string(told(get("/api/files/job.json"))["text"]));
  job["plates"][0]["outline"][1][0] = "20 in";
  job["plates"][0]["outline"][2][0] = "20 in";
  const json answer = told(ask("POST", "/api/sketch", {{"text", job.dump()}}));
  EXPECT_TRUE(answer["problems"].empty());
  EXPECT_NEAR(answer["sketch"]["plates"][0]["outline"][1][0], 508.0, 1e-9);
  job["plates"][0]["thickness"] = "thick";
  const json wrong = told(ask("POST", "/api/sketch", {{"text", job.dump()}}));
  EXPECT_TRUE(wrong["sketch"].is_null());
  EXPECT_EQ(wrong["problems"].size(), 1U);
}

TEST_F(BenchTest, KindsOfReadingsAreThoseOfTheProgram) {
  const json kinds = told(get("/api/kinds"));
  ASSERT_EQ(kinds.size(), 16U);  // docs/formats/readings.md lists sixteen
  for (const json& kind : kinds) {
    const std::string name = kind["kind"], to = kind["to"];
    const std::string second = to == "hole" ? "B" : to == "line" ? "B|C" : to == "set-up" ? "1" : "";
    const auto read =
        parse_readings("kind,from,to,reading,sigma,note\n" + name + ",A," + second + ",10,0.3,\n", "x.csv");
    EXPECT_TRUE(read) << name << ": " << (read ? "" : describe(read.problems().front()));
  }
}

}  // namespace
}  // namespace fairhole::bench
