// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "simulated_face.h"

namespace fairhole::test {

/// The slips of the trade, written independently of the library: what each would do to a reading is found by
/// measuring the face again as the slip has it.
inline const std::vector<std::string>& slip_names() {
  static const std::vector<std::string> names{"100 mm start",   "1 in start", "1 in",
                                              "10 mm",          "a foot",     "edge for centre",
                                              "digits swapped", "wrong hole", "inch for metric"};
  return names;
}

/// All errors that one slip may put into one reading of the face: mm, reading minus what should have been
/// read. `value_mm` is what should have been read, to the tenth of a millimetre written down.
std::vector<double> sizes_of_slip(const SimulatedFace& face, const Reading& reading, const std::string& slip);

/// Writes a value into a reading as a person does, to the tenth of a millimetre.
void write_down(Reading& reading, double value_mm);

/// Whether a reading of this value would be taken at all: lengths from hole to hole are above 0.
bool can_be_read(const Reading& reading, double value_mm);

/// One way to explain a face: an error in one reading, under a name.
struct Explanation {
  std::size_t row = 0;
  std::string name;
  double size_mm = 0.0;
};

/// Every named slip that may have made a reading what it is now, for all readings of the face.
std::vector<Explanation> all_explanations(const SimulatedFace& face);

/// Whether readings with these sigmas can tell `truth` from no error and from every explanation of another
/// reading or another name: in the space of the residuals each lies at least `distance` sigmas away. (The
/// better of two explanations at distance d is the wrong one with a chance of Phi(-d/2).)
bool is_distinguishable(const SimulatedFace& face, const Eigen::MatrixXd& residual_maker,
                        const Explanation& truth, const std::vector<Explanation>& rivals, double distance);

}  // namespace fairhole::test
