// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "fairhole/drawing/drawing.h"
#include "fairhole/pattern/pattern.h"
#include "fairhole/registration/distortion.h"
#include "fairhole/registration/registration.h"

/// How a part lies under its drawing, drawn and said.
namespace fairhole {

/// What the places of the part are called: "the heel", "the fore end".
struct DistortionNames {
  std::string datum_edge = "the datum edge";
  std::string inner_row = "the row next to the datum edge";
  std::string outer_row = "the row farthest from it";
};

/// Sentences a fitter would say: what was found and how large over the part; what shows but may be the
/// readings' own error; what these holes cannot tell.
std::vector<std::string> distortion_words(const Distortion& distortion, const DistortionNames& names = {});

/// Of these, what was accepted.
std::vector<std::string> accepted_distortion_words(const Distortion& distortion,
                                                   const DistortionNames& names = {});

struct RegistrationPicture {
  const Pattern& pattern;
  const MeasuredFace& measured;
  const Registration& registration;
  const Distortion* distortion = nullptr;  ///< none: not looked for
  DistortionNames names = {};
  Motion view_from_face = {};  ///< how the sheet's x and y lie to the face's
  double width_mm = 170.0;     ///< of the sheet, at most
  bool words = true;           ///< at the foot; without them for a page that says the same beside it
};

/// The drawing's holes solid where the pose puts them; the measured holes as fine double lines at the end of
/// their misfit arrows, enlarged, with scale bar; the accuracy of the drawing's place as an ellipse (95 in
/// 100, propagated, not the residual) at the same enlargement; missing holes broken, extra holes crossed;
/// rival poses as broken outlines; an accepted distortion as a grid bent by the same enlargement, in words
/// at the foot.
drawing::Page registration_picture(const RegistrationPicture& picture);

}  // namespace fairhole
