// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "durable.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstdint>
#include <cstring>

#include "fairhole/job/run.h"

namespace fairhole::bench {
namespace {

namespace fs = std::filesystem;

Problems cannot_write(const fs::path& path) {
  return {{codes::kOutCannotWrite, path.string(), fmt::format("cannot be written ({})", std::strerror(errno)),
           "look at permissions and free space; nothing was changed"}};
}

/// An open file, closed whatever happens.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  bool open() const { return number_ >= 0; }

  bool write_and_flush(std::string_view bytes) const {
    while (!bytes.empty()) {
      const ssize_t written = ::write(number_, bytes.data(), bytes.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) return false;
      bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    return ::fsync(number_) == 0;
  }
  int number() const { return number_; }
  bool flush() const { return ::fsync(number_) == 0; }

 private:
  int number_;
};

/// A new name, or one that is gone, is safe only when its folder is on the disk.
bool flush_folder(const fs::path& folder) {
  const Descriptor directory(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  return directory.open() && directory.flush();
}

constexpr mode_t kMode = 0644;

}  // namespace

Problems replace_durably(const fs::path& path, std::string_view bytes) {
  const fs::path fresh = path.string() + ".fairhole-new";
  {
    const Descriptor file(::open(fresh.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, kMode));
    if (!file.open()) return cannot_write(path);
    if (!file.write_and_flush(bytes)) {
      Problems problems = cannot_write(path);
      ::unlink(fresh.c_str());
      return problems;
    }
  }
  if (::rename(fresh.c_str(), path.c_str()) != 0) {
    Problems problems = cannot_write(path);
    ::unlink(fresh.c_str());
    return problems;
  }
  return flush_folder(path.parent_path()) ? Problems{} : cannot_write(path);
}

Problems append_durably(const fs::path& path, std::string_view bytes) {
  std::error_code error;
  const std::uintmax_t before = fs::exists(path, error) ? fs::file_size(path, error) : 0;
  const Descriptor file(::open(path.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, kMode));
  if (file.open() && file.write_and_flush(bytes) && flush_folder(path.parent_path())) return {};
  Problems problems = cannot_write(path);
  fs::resize_file(path, before, error);  // a full disk may have taken a part
  return problems;
}

Problems shorten_durably(const fs::path& path, std::uintmax_t size) {
  const Descriptor file(::open(path.c_str(), O_WRONLY | O_CLOEXEC));
  if (!file.open() || ::ftruncate(file.number(), static_cast<off_t>(size)) != 0 || !file.flush())
    return cannot_write(path);
  return {};
}

Problems remove_durably(const fs::path& path) {
  if (::unlink(path.c_str()) != 0 && errno != ENOENT) return cannot_write(path);
  return flush_folder(path.parent_path()) ? Problems{} : cannot_write(path);
}

}  // namespace fairhole::bench
