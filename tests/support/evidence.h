// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>
#include <utility>

/// Lines of docs/proof.md. A test that asserts a value through Evidence also writes it down as a property of
/// its result, where tools/prove reads it: so the figure in the document is the one asserted. Lines of the
/// same kind, source and quantity become one.
namespace fairhole::test {

class Evidence {
 public:
  enum class Kind { kPublished, kSecondMethod, kStatistics };

  /// `source`: where the expected value comes from, or how the trial is made; `quantity`: of what, in `unit`.
  Evidence(Kind kind, std::string source, std::string quantity, std::string unit = "")
      : kind_(kind), source_(std::move(source)), quantity_(std::move(quantity)), unit_(std::move(unit)) {}
  Evidence(const Evidence&) = delete;
  Evidence& operator=(const Evidence&) = delete;
  ~Evidence() {
    if (count_ > 0) write();
  }

  /// How many random trials, of what, from which seed on.
  Evidence& trials(int trials, std::string of, std::uint64_t seed) {
    trials_ = fmt::format("{} {}", trials, of);
    seed_ = std::to_string(seed);
    return *this;
  }

  /// Where a check stands; std::source_location, which clang++ 14 cannot read out of g++'s library.
  struct Place {
    const char* file;
    int line;
    static constexpr Place current(const char* file = __builtin_FILE(), int line = __builtin_LINE()) {
      return {file, line};
    }
  };
  /// |got - expected| <= allowed.
  Evidence& near(double got, double expected, double allowed, Place place = Place::current()) {
    if (!(std::abs(got - expected) <= allowed)) {
      fail(place, fmt::format("is {}, expected {} within {}", got, expected, allowed));
    }
    return note({expected, got, expected - allowed, expected + allowed},
                std::abs(got - expected) / (allowed > 0.0 ? allowed : 1.0));
  }
  Evidence& equal(double got, double expected, Place place = Place::current()) {
    return near(got, expected, 0.0, place);
  }
  /// Within the window, its ends included.
  Evidence& between(double got, double least, double most, Place place = Place::current()) {
    if (!(got >= least && got <= most)) {
      fail(place, fmt::format("is {}, expected from {} to {}", got, least, most));
    }
    constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
    const double room = std::min(got - least, most - got);
    return note({kNone, got, least, most}, 1.0 / (1.0 + std::abs(room)));
  }
  Evidence& at_most(double got, double most, Place place = Place::current()) {
    return between(got, -std::numeric_limits<double>::infinity(), most, place);
  }
  Evidence& at_least(double got, double least, Place place = Place::current()) {
    return between(got, least, std::numeric_limits<double>::infinity(), place);
  }

 private:
  struct Values {
    double expected, got, least, most;
  };

  void fail(const Place& place, const std::string& text) const {
    ADD_FAILURE_AT(place.file, place.line) << quantity_ << ": " << text;
  }
  /// Of many values the one that takes most of its tolerance is told. Shares are compared in millionths, so
  /// that rounding does not choose.
  Evidence& note(const Values& values, double share) {
    const double millionths = std::round(share * 1e6);
    if (count_++ == 0 || millionths > share_) {
      worst_ = values;
      share_ = millionths;
    }
    return *this;
  }
  void write() const {
    constexpr const char* kKinds[] = {"published", "second method", "statistics"};
    const auto* info = testing::UnitTest::GetInstance()->current_test_info();
    if (info == nullptr) return;
    testing::Test::RecordProperty(
        fmt::format("evidence_{}", info->result()->test_property_count()),
        fmt::format("{}|{}|{}|{}|{}|{}|{}|{}|{}|{}|{}|{}", kKinds[static_cast<std::size_t>(kind_)], source_,
                    quantity_, unit_, count_, share_, worst_.expected, worst_.got, worst_.least, worst_.most,
                    trials_, seed_));
  }

  Kind kind_;
  std::string source_, quantity_, unit_, trials_, seed_;
  int count_ = 0;
  double share_ = 0.0;
  Values worst_{};
};

/// A value that a published source prints.
inline Evidence published(std::string source, std::string quantity, std::string unit = "") {
  return {Evidence::Kind::kPublished, std::move(source), std::move(quantity), std::move(unit)};
}
/// A value worked out a second way: closed form, quadrature, exact arithmetic, trying everything.
inline Evidence second_method(std::string method, std::string quantity, std::string unit = "") {
  return {Evidence::Kind::kSecondMethod, std::move(method), std::move(quantity), std::move(unit)};
}
/// A frequency or mean over random trials.
inline Evidence statistics(std::string trial, std::string quantity, std::string unit = "") {
  return {Evidence::Kind::kStatistics, std::move(trial), std::move(quantity), std::move(unit)};
}

/// A point of a calibration curve: of `count` claims of mean odds `claimed` the share `came_true`.
inline void record_calibration(const std::string& curve, double claimed, double came_true, int count) {
  const auto* info = testing::UnitTest::GetInstance()->current_test_info();
  testing::Test::RecordProperty(fmt::format("calibration_{}", info->result()->test_property_count()),
                                fmt::format("{}|{}|{}|{}", curve, claimed, came_true, count));
}

}  // namespace fairhole::test
