// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/core.h>

#include <algorithm>

#include "fairhole/base/length.h"
#include "search.h"

namespace fairhole::detail {
namespace {

std::string why_not(const Option& option) {
  return fmt::format("Not {}: {}.", option_name(option), option.forbidden);
}

const Option* first_of(const std::vector<Option>& options, Method method) {
  const auto found = std::find_if(options.begin(), options.end(),
                                  [method](const Option& option) { return option.method == method; });
  return found == options.end() ? nullptr : &*found;
}

// What speaks against leaving the old holes as they are. One old hole would be transferred, several passed;
// that a fitted bolt cannot pass goes without saying.
std::string not_as_found(const Stack& stack, const std::vector<Option>& options) {
  const auto serving = std::count_if(stack.layers.begin(), stack.layers.end(),
                                     [](const OldLayer& layer) { return layer.form != HoleForm::kPlugged; });
  const bool one = serving == 1 && stack.plate_is_new;
  if (!one && is_fitted(stack.fastener.kind)) return {};
  const Option* as_found = first_of(options, one ? Method::kTransfer : Method::kClear);
  return as_found == nullptr || as_found->allowed ? std::string() : why_not(*as_found);
}

// Among the sizes below `limit_mm` the one that decides: the smallest that the holes alone would allow and
// something else forbids; else the largest, which still is too small.
const Option* decisive_size(const std::vector<Option>& options, double limit_mm) {
  const Option* largest = nullptr;
  for (const Option& option : options) {  // sizes rise
    if (option.method != Method::kOpenOut || option.finish_mm >= limit_mm - kSameSizeMm) continue;
    if (option.allowed) continue;
    largest = &option;
    if (option.need_mm > 0.0 && option.need_mm <= option.finish_mm) break;
  }
  return largest;
}

const Option* allowed_size(const std::vector<Option>& options, double limit_mm) {
  const auto found = std::find_if(options.begin(), options.end(), [limit_mm](const Option& option) {
    return option.method == Method::kOpenOut && option.allowed && option.finish_mm < limit_mm - kSameSizeMm;
  });
  return found == options.end() ? nullptr : &*found;
}

// Where a hole is plugged: why its bush was not taken, of the largest outside at hand.
std::string not_bushed(const std::vector<Option>& options, const Option& plugged) {
  const Option* bush = nullptr;
  for (const Option& option : options) {
    if (option.method != Method::kBush || option.bushed != plugged.plugged) continue;
    if (std::abs(option.finish_mm - plugged.finish_mm) > kSameSizeMm) continue;
    const bool larger = bush != nullptr && option.bush_outside_mm > bush->bush_outside_mm;
    if (bush == nullptr || (larger && !bush->allowed) || (option.allowed && !bush->allowed)) bush = &option;
  }
  if (bush == nullptr) return {};
  return bush->allowed ? "A bush would do, but costs more." : why_not(*bush);
}

std::string joined(const std::string& a, const std::string& b) {
  return a.empty() || b.empty() ? a + b : a + " " + b;
}

}  // namespace

const Option* telling_size(const std::vector<Option>& options, double limit_mm) {
  const Option* would_do = allowed_size(options, limit_mm);
  return would_do != nullptr ? would_do : decisive_size(options, limit_mm);
}

std::string option_name(const Option& option) {
  if (option.method == Method::kOpenOut) return fmt::format("open out to {} mm", format_mm(option.finish_mm));
  if (option.method == Method::kBush) return "bushed";
  return option.method == Method::kTransfer ? "as it is" : method_name(option.method);
}

std::string ruled_out(const Stack& stack, const std::vector<Option>& options, int chosen) {
  const Option& taken = options[static_cast<std::size_t>(chosen)];
  if (stack.pinned_method || stack.pinned_finish_mm) return {};
  const bool afresh = taken.method == Method::kPlug || taken.method == Method::kBush;
  if (!afresh && taken.method != Method::kOpenOut) return {};
  const double limit_mm = afresh ? kNoSizeLimitMm : taken.finish_mm;
  std::string as_found = not_as_found(stack, options);
  const std::string bush = taken.method == Method::kPlug ? not_bushed(options, taken) : std::string();
  const Option* size = telling_size(options, limit_mm);
  if (size == nullptr) return joined(as_found, bush);
  if (!size->allowed) return joined(joined(as_found, why_not(*size)), bush);
  const std::string finish = format_mm(size->finish_mm);
  const std::string larger =
      joined(as_found, afresh ? fmt::format("Opening out to {} mm would do, but costs more.", finish)
                              : fmt::format("{} mm would do, but the others of its group take {} mm.", finish,
                                            format_mm(taken.finish_mm)));
  return joined(larger, bush);
}

}  // namespace fairhole::detail
