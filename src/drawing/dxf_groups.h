// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>
#include <initializer_list>
#include <string>
#include <string_view>

#include "fairhole/drawing/drawing.h"
#include "fairhole/drawing/writers.h"

namespace fairhole::drawing {

/// Shortest decimals that read back to the same double, without an exponent and always with a point: "25.0".
std::string exact_number(double value);

/// A text as DXF writes it in ASCII: signs as %%c, %%d, %%p, everything else beyond ASCII as \U+XXXX. What
/// the user typed is never taken for such a code: a backslash and a caret are written so that they read as
/// typed, and a doubled % gets a space between.
std::string dxf_text(std::string_view text);

/// The group code and value pairs of an ASCII DXF, in the order they are put.
class DxfGroups {
 public:
  explicit DxfGroups(DxfVersion version) : version_(version) {}

  bool r12() const { return version_ == DxfVersion::kR12; }
  void text(int code, std::string_view value);
  void integer(int code, int value);
  void real(int code, double value);
  void point(int code, const Eigen::Vector2d& xy);  ///< codes `code`, `code` + 10 and, 0.0, `code` + 20

  /// A handle nobody has yet, in hex.
  std::string new_handle();
  /// Starts an object: its type, a handle (given or new), its owner. Not for R12, which has neither.
  void object(std::string_view type, const std::string& handle, const std::string& owner);
  void subclasses(std::initializer_list<std::string_view> names);  ///< group 100 each; nothing in R12

  /// Puts another's groups after one's own.
  void append(const DxfGroups& other) { out_ += other.out_; }
  std::string take() && { return std::move(out_); }

 private:
  DxfVersion version_;
  std::string out_;
  unsigned next_handle_ = 0x100;  // below it: the handles that dxf_tables.h names
};

}  // namespace fairhole::drawing
