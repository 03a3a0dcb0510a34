// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "evidence.h"

namespace fairhole {

/// Checks what was given and lays it out for the search, or says what is wrong with it.
Result<Scene> make_scene(const Pattern& pattern, const MeasuredFace& face, const RegistrationKnown& known,
                         const Registrar& registrar);

}  // namespace fairhole
