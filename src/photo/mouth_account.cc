// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "mouth_account.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace fairhole::photo {
namespace {

constexpr double kSurestZ = 8.0;  // beyond that more says nothing more

}  // namespace

Account account_of(const Picture& picture, const View& view, const Mouth& mouth, bool chamfer, double blur_px,
                   double inner_mm, double outer_mm) {
  constexpr int kLinesPerSector = 3, kLines = kLinesPerSector * kAccountSectors;
  const double scale = pixels_per_mm(view, mouth.centre_mm);
  const LineWindow window{(mouth.radius_mm - inner_mm) * scale, (outer_mm - mouth.radius_mm) * scale, false};
  LevelTies ties{};
  ties[kChamfer].weight = ties[kWall].weight = 1e-6;  // where no sample sees it
  Account account;
  std::vector<RimLine> lines;
  for (int sector = 0; sector < kAccountSectors; ++sector) {
    double sum = 0.0;
    int count = 0;
    for (int k = 0; k < kLinesPerSector; ++k) {
      take_lines(picture, view, mouth, chamfer, blur_px, window,
                 2.0 * std::numbers::pi * (sector * kLinesPerSector + k + 0.5) / kLines, lines);
      for (const RimLine& line : lines) {
        const LineFit fit = solve_line(line, blur_px, ties);
        // Each by its degrees of freedom: a step more is no gain by itself.
        const double flat = (fit.flat_squares + 1e-9) / (fit.samples - 1);
        sum += std::log(flat * std::max(fit.samples - 1 - fit.steps, 1) / (fit.squares + 1e-9));
        ++count;
      }
    }
    account[static_cast<std::size_t>(sector)] =
        count > 0 ? sum / count : std::numeric_limits<double>::quiet_NaN();
  }
  return account;
}

double explained(const Account& account) {
  double sum = 0.0;
  int count = 0;
  for (const double value : account)
    if (std::isfinite(value)) {
      sum += value;
      ++count;
    }
  return count > kAccountSectors / 2 ? sum / count : 0.0;
}

double strangeness(const Mouth& mouth) {
  return std::abs(mouth.depth_mm - mouth.width_mm) / depth_sd_mm(mouth.width_mm);
}

namespace {

/// Variance of a mean over the sectors. What a far edge or a shadow adds to one sector it adds to the next as
/// well; so the sectors' covariances count, weighted as by Newey and West (1987), as many as their rule of
/// 1994 asks of 24 values. Never less than that of sectors of their own.
double variance_of_mean(const Account& off, double mean, int count) {
  constexpr std::size_t kLags = 2;
  const auto about_mean = [&](std::size_t k) {
    const double value = off[k % kAccountSectors];
    return std::isfinite(value) ? value - mean : 0.0;
  };
  double own = 0.0, shared = 0.0;
  for (std::size_t k = 0; k < off.size(); ++k) {
    own += about_mean(k) * about_mean(k);
    for (std::size_t lag = 1; lag <= kLags; ++lag)
      shared += 2.0 * (1.0 - static_cast<double>(lag) / (kLags + 1.0)) * about_mean(k) * about_mean(k + lag);
  }
  return (own + std::max(shared, 0.0)) / (count * (count - 1.0)) + 1e-12;
}

}  // namespace

double ln_odds(const Account& a, const Mouth& mouth_a, const Account& b, const Mouth& mouth_b) {
  Account off;
  double sum = 0.0;
  int count = 0;
  for (std::size_t k = 0; k < a.size(); ++k) {
    off[k] = a[k] - b[k];
    if (!std::isfinite(off[k])) continue;
    sum += off[k];
    ++count;
  }
  double ln = 0.5 * (std::pow(strangeness(mouth_b), 2) - std::pow(strangeness(mouth_a), 2));
  if (count > 2) {
    const double mean = sum / count;
    const double z = std::clamp(mean / std::sqrt(variance_of_mean(off, mean, count)), -kSurestZ, kSurestZ);
    ln += std::log(std::erfc(-z / std::numbers::sqrt2) / std::erfc(z / std::numbers::sqrt2));
  }
  return ln;
}

}  // namespace fairhole::photo
