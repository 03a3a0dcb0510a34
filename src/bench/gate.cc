// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "gate.h"

#include <fmt/format.h>
#include <sys/random.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <stdexcept>

#include "answers.h"
#include "photo_desk.h"

namespace fairhole::bench {
namespace {

// Nobody mistakes these for each other; 32 of them, so that a random byte picks each alike.
constexpr std::string_view kLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
constexpr std::size_t kCodeLength = 8;  // 40 bits, five tries each
constexpr int kMostWrong = 5;
constexpr std::size_t kMostSessions = 20;

std::array<unsigned char, 16> random_bytes() {
  std::array<unsigned char, 16> bytes{};
  if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size()))
    throw std::runtime_error("the system gives no random numbers");
  return bytes;
}

bool is_for_pictures(const Request& request) { return request.path.starts_with("/api/pictures/"); }

Reply refused(const Request& request, const char* what, const char* remedy) {
  Reply reply = problem_reply({{codes::kBenchRefused, request.path, what, remedy}});
  reply.status = 403;
  return reply;
}

/// The value of our cookie.
std::string session_of(const std::string& cookie) {
  constexpr std::string_view kName = "fairhole=";
  const std::size_t at = cookie.find(kName);
  if (at == std::string::npos || (at > 0 && cookie[at - 1] != ' ' && cookie[at - 1] != ';')) return "";
  const std::size_t from = at + kName.size();
  return cookie.substr(from, cookie.find(';', from) - from);
}

/// As typed: in small letters, with dashes and blanks.
std::string plain(const std::string& typed) {
  std::string code;
  for (const char c : typed)
    if (std::isalnum(static_cast<unsigned char>(c)) != 0)
      code.push_back(static_cast<char>(std::toupper(static_cast<unsigned char>(c))));
  return code;
}

}  // namespace

std::optional<Reply> refusal(const Request& request, const Access& access) {
  const char* const remedy = "open the address the bench printed";
  if (!access.hosts.contains(request.host))
    return refused(request, "the request was made to another name than the bench's own", remedy);
  if (!request.origin.empty() && request.origin != "http://" + request.host)
    return refused(request, "the request comes from another site's page", remedy);
  // Neither type can be sent by another site's page without asking first.
  const char* const own = is_for_pictures(request) ? kPictureType : "application/json";
  if (request.method != "GET" && request.content_type != own)
    return refused(request, "only the bench's own page can ask for changes", remedy);
  if (request.body.size() > (is_for_pictures(request) ? kMostPictureBytes : kMostBodyBytes)) {
    Reply reply =
        problem_reply({{codes::kBenchTooLarge, request.path,
                        fmt::format("{} MB is more than the bench takes", request.body.size() >> 20U),
                        "take the picture in a smaller size, 12 megapixels or so"}});
    reply.status = 413;
    return reply;
  }
  return std::nullopt;
}

Gate::Gate(Access access) : access_(std::move(access)) {
  if (access_.say_code) new_code();
}

void Gate::new_code() {
  code_.clear();
  wrong_ = 0;
  const auto bytes = random_bytes();
  for (std::size_t i = 0; i < kCodeLength; ++i) code_.push_back(kLetters[bytes[i] % kLetters.size()]);
  access_.say_code(code_.substr(0, kCodeLength / 2) + "-" + code_.substr(kCodeLength / 2));
}

bool Gate::known(const Request& request) const {
  const std::string session = session_of(request.cookie);
  return !session.empty() && std::ranges::count(sessions_, session) > 0;
}

Reply Gate::enter(const Request& request) {
  const auto body = texts_of(request, {"code"});
  if (!body) return problem_reply(body.problems());
  const std::string typed = (*body)["code"];
  if (plain(typed) != code_) {
    if (++wrong_ == kMostWrong) new_code();
    Reply reply = problem_reply({{codes::kBenchWrongCode, "", "that is not the code",
                                  fmt::format("type the one that stands last where the bench was started; "
                                              "after {} wrong ones there is another",
                                              kMostWrong)}});
    reply.status = 403;
    return reply;
  }
  std::string session;
  for (const unsigned char byte : random_bytes()) session += fmt::format("{:02x}", byte);
  if (sessions_.size() == kMostSessions) sessions_.erase(sessions_.begin());
  sessions_.push_back(session);
  new_code();  // each lets one device in
  Reply reply = json_reply({{"entered", true}});
  reply.cookie = "fairhole=" + session + "; HttpOnly; SameSite=Strict; Path=/";
  return reply;
}

std::optional<Reply> Gate::at_the_door(const Request& request) {
  if (auto refused = refusal(request, access_)) return refused;
  if (!access_.say_code) return std::nullopt;
  const std::lock_guard turn(one_at_a_time_);
  if (request.method == "POST" && request.path == "/api/enter") return enter(request);
  if (known(request)) return std::nullopt;
  if (request.method == "GET" && request.path == "/") return page_file("enter.html");
  if (request.method == "GET" && (request.path == "/enter.js" || request.path == "/bench.css"))
    return page_file(request.path.substr(1));
  return refused(request, "this device has not given the code",
                 "open the bench's address anew and type the code");
}

}  // namespace fairhole::bench
