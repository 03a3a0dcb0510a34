// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/job/job.h"

#include <algorithm>

namespace fairhole::job {
namespace {

template <class T, class Name>
const T* find_by(const std::vector<T>& things, Name T::*key, const std::string& name) {
  const auto found = std::find_if(things.begin(), things.end(), [&](const T& t) { return t.*key == name; });
  return found == things.end() ? nullptr : &*found;
}

}  // namespace

const Plate* Job::plate(const std::string& name) const { return find_by(plates, &Plate::name, name); }

const Part* Job::part(const std::string& id) const { return find_by(parts, &Part::id, id); }

const Face* Job::face(const std::string& part_id, const std::string& face_name) const {
  const Part* owner = part(part_id);
  return owner == nullptr ? nullptr : find_by(owner->faces, &Face::name, face_name);
}

const Face* Job::carrying_face(const std::string& on) const {
  const std::size_t slash = on.find('/');
  return slash == std::string::npos ? nullptr : face(on.substr(0, slash), on.substr(slash + 1));
}

const HoleGroup* Job::group(const std::string& name) const { return find_by(groups, &HoleGroup::name, name); }

}  // namespace fairhole::job
