// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "fairhole/bench/serve.h"

#include <fmt/format.h>
#include <httplib.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netdb.h>
#include <unistd.h>

#include <array>
#include <climits>
#include <csignal>
#include <filesystem>
#include <memory>
#include <thread>

#include "fairhole/bench/requests.h"

namespace fairhole::bench {
namespace {

namespace fs = std::filesystem;

const char* policy(Rights rights) {
  switch (rights) {
    case Rights::kPage:
      return "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
             "connect-src 'self'; frame-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors "
             "'self'";
    case Rights::kDocument:
      return "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox; frame-ancestors 'self'";
    case Rights::kFile:
      break;
  }
  return "frame-ancestors 'self'";  // anything stricter keeps browsers' own viewers of PDF from starting
}

Request request_from(const httplib::Request& from) {
  return {from.method,
          from.path,
          from.get_header_value("Host"),
          from.get_header_value("Origin"),
          from.get_header_value("Content-Type"),
          from.body,
          from.get_header_value("Cookie")};
}

void send(const Reply& reply, httplib::Response& to) {
  to.status = reply.status;
  // Handed over piece by piece, for what is set as a whole the server compresses by Brotli's best: 90 ms for
  // a survey's answer, where sending it takes none.
  const auto body = std::make_shared<const std::string>(reply.body);
  to.set_content_provider(body->size(), reply.type,
                          [body](std::size_t from, std::size_t length, httplib::DataSink& sink) {
                            return sink.write(body->data() + from, length);
                          });
  to.set_header("Content-Security-Policy", policy(reply.rights));
  to.set_header("X-Content-Type-Options", "nosniff");
  to.set_header("Referrer-Policy", "no-referrer");
  to.set_header("Cache-Control", "no-store");
  if (!reply.cookie.empty()) to.set_header("Set-Cookie", reply.cookie);
}

/// SIGINT and SIGTERM end the server; the signals wait in this thread alone, so nothing runs in a handler.
class EndOnSignal {
 public:
  EndOnSignal() {
    sigemptyset(&signals_);
    sigaddset(&signals_, SIGINT);
    sigaddset(&signals_, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &signals_, &before_);
  }
  ~EndOnSignal() {
    if (thread_.joinable()) {
      pthread_kill(thread_.native_handle(), SIGTERM);
      thread_.join();
    }
    pthread_sigmask(SIG_SETMASK, &before_, nullptr);
  }
  EndOnSignal(const EndOnSignal&) = delete;
  EndOnSignal& operator=(const EndOnSignal&) = delete;
  void watch(httplib::Server& server) {
    thread_ = std::thread([this, &server] {
      int signal = 0;
      sigwait(&signals_, &signal);
      server.stop();
    });
  }

 private:
  sigset_t signals_{}, before_{};
  std::thread thread_;
};

/// Addresses of this machine that others on its network can reach.
std::vector<std::string> addresses() {
  std::vector<std::string> all;
  ifaddrs* first = nullptr;
  if (::getifaddrs(&first) != 0) return all;
  for (const ifaddrs* one = first; one != nullptr; one = one->ifa_next) {
    if (one->ifa_addr == nullptr || one->ifa_addr->sa_family != AF_INET) continue;
    if ((one->ifa_flags & IFF_UP) == 0 || (one->ifa_flags & IFF_LOOPBACK) != 0) continue;
    std::array<char, NI_MAXHOST> text{};
    if (::getnameinfo(one->ifa_addr, sizeof(sockaddr_in), text.data(), text.size(), nullptr, 0,
                      NI_NUMERICHOST) == 0)
      all.emplace_back(text.data());
  }
  ::freeifaddrs(first);
  return all;
}

/// What browsers may call the bench.
std::set<std::string> own_names(int port, const std::vector<std::string>& reached) {
  std::set<std::string> names = {"127.0.0.1", "localhost"};
  names.insert(reached.begin(), reached.end());
  std::array<char, HOST_NAME_MAX + 1> host{};
  if (!reached.empty() && ::gethostname(host.data(), host.size() - 1) == 0) {
    names.insert(host.data());
    names.insert(std::string(host.data()) + ".local");
  }
  std::set<std::string> with_port;
  for (const std::string& name : names) with_port.insert(fmt::format("{}:{}", name, port));
  return with_port;
}

}  // namespace

Problems serve(const ServeOptions& options) {
  auto folder = JobFolder::open(options.job);
  if (!folder) return folder.problems();
  httplib::Server server;
  server.set_tcp_nodelay(true);  // else the browser's delayed acknowledgement holds back each answer by 40 ms
  server.set_payload_max_length(kMostPictureBytes + 1);  // what is larger than that has no answer in words
  const std::vector<std::string> reached = options.lan ? addresses() : std::vector<std::string>{};
  if (options.lan && reached.empty()) {
    return {{codes::kBenchNoNetwork, "--lan", "this machine is on no network",
             "join one, or leave --lan out and use the page on this machine"}};
  }
  const std::string own = options.lan ? "0.0.0.0" : "127.0.0.1";
  const int port = options.port == 0 ? server.bind_to_any_port(own.c_str())
                                     : (server.bind_to_port(own.c_str(), options.port) ? options.port : -1);
  if (port < 0) {
    return {{codes::kBenchNoPort, fmt::format("port {}", options.port), "another program uses it",
             "name another with --port, or leave it out"}};
  }
  const std::string path = fs::canonical(options.job).string();
  Access access{own_names(port, reached)};
  if (options.lan) access.say_code = options.say_code;
  Bench bench(*std::move(folder), path, options.program, std::move(access));
  const auto handler = [&bench](const httplib::Request& from, httplib::Response& to) {
    send(bench.answer(request_from(from)), to);
  };
  server.Get(".*", handler);
  server.Put(".*", handler);
  server.Post(".*", handler);
  EndOnSignal end;
  end.watch(server);
  options.ready(fmt::format("http://{}:{}/", reached.empty() ? "127.0.0.1" : reached.front(), port));
  server.listen_after_bind();
  return {};
}

}  // namespace fairhole::bench
