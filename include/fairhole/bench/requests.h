// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <mutex>
#include <set>
#include <string>

#include "fairhole/bench/job_folder.h"
#include "fairhole/bench/worker.h"

/// What the bench page asks and what it is told, without any sockets. docs/bench.md lists the requests.
namespace fairhole::bench {

struct Request {
  std::string method;  ///< "GET", "PUT", "POST"
  std::string path;    ///< decoded, without a query: "/api/job"
  std::string host;    ///< header fields; empty: not there
  std::string origin;
  std::string content_type;
  std::string body;
  std::string cookie = {};
};

/// What a browser is to let a reply do.
enum class Rights {
  kPage,  ///< the bench's own page and what it asks for: scripts and styles from here, nothing from elsewhere
  kDocument,  ///< a result that is a document (report.html): its own styles and pictures, no scripts, no
              ///< requests
  kFile       ///< a result for another viewer (PDF): may be shown on the bench's page
};

struct Reply {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  Rights rights = Rights::kPage;
  std::string cookie = {};  ///< to be kept by the browser
};

/// Who may ask: a page that a browser loaded from one of these hosts.
struct Access {
  std::set<std::string> hosts;  ///< "127.0.0.1:8017", "localhost:8017"
  /// Where other devices may ask too: told each new code; one lets one device in. Empty: no code is asked
  /// for.
  std::function<void(const std::string& code)> say_code = {};
};

/// Nothing if the request comes from a page of these hosts and has a size and form to be answered, else the
/// refusal.
std::optional<Reply> refusal(const Request& request, const Access& access);

class Gate;
class PhotoDesk;

/// Answers requests on one job, from any thread.
class Bench {
 public:
  /// `path`: the folder's own; `program`: the fairhole program, which works the job out and reads pictures.
  Bench(std::unique_ptr<JobFolder> folder, const std::string& path, const std::string& program,
        Access access);
  ~Bench();
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;
  Reply answer(const Request& request);

 private:
  Reply job();
  Reply sketch(const Request& request) const;
  Reply file(const Request& request);
  Reply step(bool forward);
  Reply begin(const Request& request);
  Reply run(const Request& request);
  Reply result(const std::string& name);
  Reply board(const Request& request);
  std::string worked_from_path() const;

  std::mutex one_at_a_time_;
  std::unique_ptr<JobFolder> folder_;
  std::string path_, results_;
  Worker worker_;
  std::unique_ptr<PhotoDesk> photos_;
  std::unique_ptr<Gate> gate_;
  std::string worked_from_;  ///< state of all files when the last run began
};

inline constexpr std::size_t kMostBodyBytes = 8U << 20U;      ///< of a request
inline constexpr std::size_t kMostPictureBytes = 48U << 20U;  ///< of a picture

}  // namespace fairhole::bench

namespace fairhole::codes {
inline constexpr Code kBenchRequest{
    194};  ///< a request that the bench does not know, or that is not as documented
inline constexpr Code kBenchRefused{195};    ///< a request from somewhere else than the bench's own page
inline constexpr Code kBenchTooLarge{783};   ///< a request or picture beyond any sense
inline constexpr Code kBenchNoPhotos{784};   ///< no such photographs in the job
inline constexpr Code kBenchWrongCode{785};  ///< a device that gave a wrong code
}  // namespace fairhole::codes
