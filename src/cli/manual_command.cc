// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// The manual page and the shell's completion, both read off the commands themselves: nothing to keep in step.
#include <fmt/format.h>

#include <memory>

#include "commands.h"

namespace fairhole::cli {
namespace {

/// Text for roff: backslashes, hyphens and a line's first point or apostrophe mean something to it.
std::string roff(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else if ((c == '.' || c == '\'') && (out.empty() || out.back() == '\n')) {
      out += std::string("\\&") + c;
    } else {
      out += c;
    }
  }
  return out;
}

std::vector<const CLI::App*> commands_of(const CLI::App& app) {
  return app.get_subcommands([](const CLI::App*) { return true; });
}

bool is_positional(const CLI::Option& option) { return option.get_positional(); }

std::string synopsis(const CLI::App& command) {
  std::string line = ".B fairhole " + roff(command.get_name()) + "\n";
  for (const CLI::Option* option : command.get_options()) {
    if (is_positional(*option)) line += ".I " + roff(option->get_name(true)) + "\n";
  }
  return line + "[options]\n";
}

std::string entry(const CLI::Option& option) {
  const bool takes_value = option.get_expected_max() > 0;
  const std::string value = takes_value && !is_positional(option) ? " \\fIvalue\\fR" : "";
  const std::string needed = option.get_required() && !is_positional(option) ? " Must be given." : "";
  return fmt::format(".TP\n\\fB{}\\fR{}\n{}.{}\n", roff(option.get_name(is_positional(option))), value,
                     roff(option.get_description()), needed);
}

std::string manual_page(const CLI::App& app) {
  std::string page = fmt::format(".TH FAIRHOLE 1 \"\" \"fairhole {}\" \"User commands\"\n", FAIRHOLE_VERSION);
  page +=
      ".SH NAME\nfairhole \\- seats old riveted parts on new plate and lays out the holes\n.SH SYNOPSIS\n";
  for (const CLI::App* command : commands_of(app)) page += synopsis(*command) + ".br\n";
  page += ".SH DESCRIPTION\n" + roff(app.get_description()) + "\n.SH COMMANDS\n";
  for (const CLI::App* command : commands_of(app)) {
    page += fmt::format(".SS {}\n{}.\n", roff(command->get_name()), roff(command->get_description()));
    for (const CLI::Option* option : command->get_options()) {
      if (option != command->get_help_ptr()) page += entry(*option);
    }
  }
  page +=
      ".SH EXIT STATUS\n.TP\n0\nDone.\n.TP\n1\nThe data cannot give the answer; of a plan, results are "
      "written and "
      "marked, and no drawing of a plate in doubt.\n.TP\n2\nWrong use or bad input; nothing was written.\n"
      ".SH ENVIRONMENT\n.TP\n.B SOURCE_DATE_EPOCH\nSeconds since 1970; dates the sheets of a job that states "
      "no "
      "date.\n"
      ".SH CAUTIONS\n";
  return page + roff(app.get_footer()) + "\n";
}

std::string completion(const CLI::App& app) {
  std::string names, cases;
  for (const CLI::App* command : commands_of(app)) {
    names += (names.empty() ? "" : " ") + command->get_name();
    std::string options;
    for (const CLI::Option* option : command->get_options()) {
      for (const std::string& name : option->get_lnames()) options += (options.empty() ? "--" : " --") + name;
    }
    cases += fmt::format("    {}) words=\"{}\" ;;\n", command->get_name(), options);
  }
  return fmt::format(R"(# bash completion of fairhole, made by: fairhole manual --completion
_fairhole() {{
  local current=${{COMP_WORDS[COMP_CWORD]}} words=""
  if [[ $COMP_CWORD -eq 1 ]]; then
    COMPREPLY=($(compgen -W "{} --help --version" -- "$current"))
    return
  fi
  case ${{COMP_WORDS[1]}} in
{}  esac
  if [[ $current == -* ]]; then
    COMPREPLY=($(compgen -W "$words" -- "$current"))
  else
    COMPREPLY=($(compgen -f -- "$current"))
  fi
}}
complete -o filenames -F _fairhole fairhole
)",
                     names, cases);
}

}  // namespace

void add_manual(CLI::App& app, int& status) {
  CLI::App* command = app.add_subcommand("manual", "The manual page, for man; or the shell's completion");
  auto for_shell = std::make_shared<bool>(false);
  command->add_flag("--completion", *for_shell, "Completion of commands and options for bash");
  command->callback(
      [&app, &status, for_shell] { status = say(*for_shell ? completion(app) : manual_page(app)); });
}

}  // namespace fairhole::cli
