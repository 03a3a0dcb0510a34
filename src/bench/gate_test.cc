// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "gate.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace fairhole::bench {
namespace {

const std::string kHost = "192.168.7.4:8017";

const Reply kGoesOn{.status = 0, .body = {}};

/// A gate that asks for a code, which it says to us.
class GateTest : public ::testing::Test {
 protected:
  Reply ask(const std::string& method, const std::string& path, const std::string& body = "",
            const std::string& cookie = "") {
    const auto reply = gate_.at_the_door({method, path, kHost, "", "application/json", body, cookie});
    return reply.value_or(kGoesOn);
  }
  Reply enter(const std::string& code) {
    return ask("POST", "/api/enter", nlohmann::json{{"code", code}}.dump());
  }
  static std::string cookie_of(const Reply& reply) { return reply.cookie.substr(0, reply.cookie.find(';')); }

  std::vector<std::string> codes_;
  Gate gate_{Access{{kHost}, [this](const std::string& code) { codes_.push_back(code); }}};
};

TEST_F(GateTest, NothingWithoutTheCode) {
  for (const char* path : {"/api/job", "/bench.js", "/results/plan.json", "/boards/A4-0.pdf", "/flat/x.jpg"})
    EXPECT_EQ(ask("GET", path).status, 403) << path;
  EXPECT_EQ(ask("PUT", "/api/files/job.json", "{}").status, 403);
  EXPECT_EQ(ask("GET", "/api/job", "", "fairhole=").status, 403);
  EXPECT_EQ(ask("GET", "/api/job", "", "fairhole=00000000000000000000000000000000").status, 403);
  EXPECT_NE(ask("GET", "/").body.find("The code that stands"), std::string::npos);
  EXPECT_EQ(ask("GET", "/enter.js").status, 200);
}

TEST_F(GateTest, ACodeLetsOneDeviceIn) {
  ASSERT_EQ(codes_.size(), 1U);
  EXPECT_EQ(codes_[0].size(), 9U);  // XXXX-XXXX
  const std::string first = codes_[0];
  const Reply entered = enter(first);
  EXPECT_EQ(entered.status, 200);
  EXPECT_NE(entered.cookie.find("HttpOnly; SameSite=Strict"), std::string::npos);
  EXPECT_EQ(ask("GET", "/api/job", "", cookie_of(entered)).status, 0);  // goes on
  EXPECT_EQ(ask("GET", "/api/job", "", "other=1; " + cookie_of(entered)).status, 0);
  EXPECT_EQ(ask("GET", "/api/job", "", "x" + cookie_of(entered)).status, 403);
  ASSERT_EQ(codes_.size(), 2U);
  EXPECT_NE(codes_[1], first);
  EXPECT_EQ(enter(first).status, 403);  // used
  std::string typed = codes_[1];
  typed.erase(4, 1);
  for (char& c : typed) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  const Reply second = enter(typed);
  EXPECT_EQ(second.status, 200);
  EXPECT_NE(second.cookie, entered.cookie);
}

TEST_F(GateTest, FiveWrongCodesMakeAnother) {
  const nlohmann::json told = nlohmann::json::parse(enter("AAAA-AAAA").body)["problems"][0];
  EXPECT_EQ(told["code"], "E785");
  EXPECT_EQ(told["what"], "that is not the code");
  EXPECT_EQ(told["remedy"],
            "type the one that stands last where the bench was started; after 5 wrong ones there is another");
  for (int i = 0; i < 3; ++i) enter("");
  EXPECT_EQ(codes_.size(), 1U);
  enter("AAAAAAAA");
  ASSERT_EQ(codes_.size(), 2U);
  EXPECT_EQ(enter(codes_[0]).status, 403);
  EXPECT_EQ(enter(codes_[1]).status, 200);
}

TEST_F(GateTest, OtherNamesAndSitesAreTurnedAwayFirst) {
  EXPECT_EQ(gate_.at_the_door({"GET", "/", "evil.example:8017", "", "", ""})->status, 403);
  EXPECT_EQ(gate_.at_the_door({"GET", "/", kHost, "http://evil.example", "", ""})->status, 403);
}

}  // namespace
}  // namespace fairhole::bench
