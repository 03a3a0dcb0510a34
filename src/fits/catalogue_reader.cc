// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>

#include "fairhole/base/length.h"
#include "fairhole/fits/catalogue.h"
#include "table.h"

namespace fairhole {
namespace {

constexpr double kLargestMm = 1000.0;  // beyond it a size is a slip of the unit

struct TableForm {
  std::string_view first;
  std::vector<std::string_view> others;
};

const std::array<TableForm, 8>& table_forms() {
  static const std::array<TableForm, 8> forms{{
      {"thread", {"series", "form", "major", "pitch", "tap_drill", "prov", "tap_drill_prov", "source"}},
      {"hexagon", {"series", "across_flats", "head", "nut", "lock_nut", "prov", "source"}},
      {"washer", {"series", "hole", "outside", "thickness", "prov", "source"}},
      {"reamer", {"kind", "prov", "source"}},
      {"rivet", {"prov", "source"}},
      {"head", {"form", "diameter_ratio", "height_ratio", "prov", "source"}},
      {"bar", {"shape", "prov", "source"}},
      {"drill", {"prov", "source"}},
  }};
  return forms;
}

std::string header_of(const TableForm& form) {
  std::string header(form.first);
  for (const std::string_view column : form.others) header += "," + std::string(column);
  return header;
}

/// One data row, read cell by cell; what cannot be read goes into the problems.
class CatalogueRow {
 public:
  CatalogueRow(const TableForm& form, std::vector<std::string> cells, Unit unit, std::string where,
               Problems& problems)
      : form_(form), cells_(std::move(cells)), unit_(unit), where_(std::move(where)), problems_(problems) {}

  const std::string& text(std::string_view column) const {
    if (column == form_.first) return cells_.front();
    const auto found = std::find(form_.others.begin(), form_.others.end(), column);
    return cells_[static_cast<std::size_t>(found - form_.others.begin()) + 1];
  }

  double length_mm(std::string_view column) {
    const std::string& cell = text(column);
    const Result<double> read = parse_length_mm(cell, unit_);
    if (read.ok() && *read > kLargestMm) {
      refuse(column, "larger than any tool or fastener", "look at the unit of the cell and of the file");
      return 1.0;
    }
    if (read.ok() && *read > 0.0) return *read;
    refuse(column, "no length above 0", "write it as 20, 20 mm or 3/4 in");
    return 1.0;
  }

  std::optional<double> length_or_none_mm(std::string_view column) {
    if (text(column).empty()) return std::nullopt;
    return length_mm(column);
  }

  double ratio(std::string_view column) {
    const std::string& cell = text(column);
    double value = 0.0;
    const auto read = std::from_chars(cell.data(), cell.data() + cell.size(), value);
    if (read.ec == std::errc{} && read.ptr == cell.data() + cell.size() && value > 0.0 && value < 100.0)
      return value;
    refuse(column, "no number above 0", "write a plain number such as 1.6");
    return 1.0;
  }

  /// A pitch as a length, or as threads per inch: "2.5 mm", "10 tpi".
  double pitch_mm(std::string_view column) {
    const std::string& cell = text(column);
    if (!cell.ends_with(" tpi")) return length_mm(column);
    double threads = 0.0;
    const auto read = std::from_chars(cell.data(), cell.data() + cell.size() - 4, threads);
    if (read.ec == std::errc{} && read.ptr == cell.data() + cell.size() - 4 && threads > 0.0)
      return kMmPerInch / threads;
    refuse(column, "no pitch", "write it as 2.5 mm or 10 tpi");
    return 1.0;
  }

  /// Place of the cell's word among `words`.
  std::size_t word(std::string_view column, const std::vector<std::string_view>& words) {
    const auto found = std::find(words.begin(), words.end(), text(column));
    if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
    std::string known;
    for (const std::string_view one : words) known += (known.empty() ? "" : ", ") + std::string(one);
    refuse(column, "an unknown word", fmt::format("write one of: {}", known));
    return 0;
  }

  Provenance provenance(std::string_view column) {
    return static_cast<Provenance>(word(column, {"found", "computed", "memory", "user"}));
  }

  ValueSource source() {
    if (text("source").empty()) refuse("source", "no source", "say where the values are from");
    return {provenance("prov"), text("source")};
  }

 private:
  void refuse(std::string_view column, const std::string& what, const std::string& remedy) {
    problems_.push_back(
        {codes::kCatalogueRow, where_, fmt::format("{} \"{}\" is {}", column, text(column), what), remedy});
  }

  const TableForm& form_;
  std::vector<std::string> cells_;
  Unit unit_;
  std::string where_;
  Problems& problems_;
};

/// "22 mm", "7/8 in": a bare number gets its unit.
std::string size_name(const std::string& cell, Unit unit) {
  const bool bare = cell.find_first_not_of("0123456789./- ") == std::string::npos;
  return bare ? cell + (unit == Unit::kInch ? " in" : " mm") : cell;
}

void add_row(Catalogue& catalogue, std::string_view table, CatalogueRow& row, Unit unit) {
  if (table == "thread") {
    const auto form = static_cast<ThreadForm>(row.word("form", {"metric", "unified", "whitworth"}));
    catalogue.threads.push_back({row.text("thread"), row.text("series"), form, row.length_mm("major"),
                                 row.pitch_mm("pitch"), row.length_mm("tap_drill"),
                                 row.provenance("tap_drill_prov"), row.source()});
  } else if (table == "hexagon") {
    catalogue.hexagons.push_back({row.length_mm("hexagon"), row.text("series"), row.length_mm("across_flats"),
                                  row.length_mm("head"), row.length_mm("nut"),
                                  row.length_or_none_mm("lock_nut"), row.source()});
  } else if (table == "washer") {
    catalogue.washers.push_back({row.length_mm("washer"), row.text("series"), row.length_mm("hole"),
                                 row.length_mm("outside"), row.length_mm("thickness"), row.source()});
  } else if (table == "reamer") {
    const auto kind = static_cast<ReamerKind>(row.word("kind", {"hand", "machine"}));
    catalogue.reamers.push_back(
        {row.length_mm("reamer"), size_name(row.text("reamer"), unit), kind, row.source()});
  } else if (table == "rivet") {
    catalogue.rivets.push_back({row.length_mm("rivet"), size_name(row.text("rivet"), unit), row.source()});
  } else if (table == "head") {
    const auto form = static_cast<HeadForm>(row.word("form", {"snap", "pan", "countersunk"}));
    catalogue.heads.push_back(
        {row.text("head"), form, row.ratio("diameter_ratio"), row.ratio("height_ratio"), row.source()});
  } else if (table == "drill") {
    catalogue.drills.push_back({row.length_mm("drill"), size_name(row.text("drill"), unit)});
    row.source();  // checked like any other; a chain has no room for it
  } else {
    const auto shape = static_cast<BarShape>(row.word("shape", {"round", "hexagon"}));
    catalogue.bars.push_back({row.length_mm("bar"), size_name(row.text("bar"), unit), shape, row.source()});
  }
}

const TableForm* form_of_header(std::string_view line) {
  for (const TableForm& form : table_forms()) {
    if (header_of(form) == line) return &form;
  }
  return nullptr;
}

/// The value of a comment line `# unit: mm`; none: another comment.
std::optional<std::string_view> unit_said(std::string_view comment) {
  constexpr std::string_view kUnit = "unit:", kBlank = " \t";
  comment.remove_prefix(std::min(comment.find_first_not_of("# \t"), comment.size()));
  if (!comment.starts_with(kUnit)) return std::nullopt;
  comment.remove_prefix(kUnit.size());
  comment.remove_prefix(std::min(comment.find_first_not_of(kBlank), comment.size()));
  return comment.substr(0, comment.find_last_not_of(kBlank) + 1);
}

Problem bad_header(const std::string& where, std::string_view line) {
  std::string remedy = "begin the file with the header row of one table";
  for (const TableForm& form : table_forms()) {
    if (line.substr(0, line.find(',')) == form.first) remedy = fmt::format("write \"{}\"", header_of(form));
  }
  return {codes::kCatalogueTable, where, fmt::format("\"{}\" is the header row of no table", line), remedy};
}

}  // namespace

Result<Catalogue> parse_catalogue(std::string_view csv, const std::string& where) {
  Catalogue catalogue;
  Problems problems;
  Unit unit = Unit::kMm;
  const TableForm* form = nullptr;
  int number = 0;
  bool has_rows = false;
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  if (csv.starts_with(kByteOrderMark)) csv.remove_prefix(kByteOrderMark.size());
  while (!csv.empty()) {
    const std::size_t end = std::min(csv.find('\n'), csv.size());
    std::string_view line = csv.substr(0, end);
    csv.remove_prefix(std::min(end + 1, csv.size()));
    ++number;
    if (line.ends_with('\r')) line.remove_suffix(1);
    const std::string place = fmt::format("{}: line {}", where, number);
    if (line.empty() || line.front() == '#') {
      const std::optional<std::string_view> said = unit_said(line);
      if (!said) continue;
      if (form != nullptr || (*said != "mm" && *said != "in")) {
        problems.push_back({codes::kCatalogueTable, place, fmt::format("\"{}\" cannot be used", line),
                            "write \"# unit: mm\" or \"# unit: in\", once, above the header row"});
      }
      unit = *said == "in" ? Unit::kInch : Unit::kMm;
      continue;
    }
    if (form == nullptr) {
      form = form_of_header(line);
      if (form == nullptr) return bad_header(place, line);
      continue;
    }
    has_rows = true;
    std::vector<std::string> cells = fits::split_row(line);
    if (std::count(line.begin(), line.end(), '"') % 2 != 0) {
      problems.push_back({codes::kCatalogueRow, place, "a quoted cell does not end",
                          "close it with \", on the same line; or the file was cut off"});
      continue;
    }
    if (cells.size() != form->others.size() + 1) {
      problems.push_back({codes::kCatalogueRow, place, fmt::format("{} cells", cells.size()),
                          fmt::format("write {}: {}", form->others.size() + 1, header_of(*form))});
      continue;
    }
    CatalogueRow row(*form, std::move(cells), unit, place, problems);
    add_row(catalogue, form->first, row, unit);
  }
  if (!problems.empty()) return problems;
  if (form == nullptr) return bad_header(where, "");
  if (!has_rows) {
    return Problem{codes::kCatalogueTable, where, "there is no row below the header row",
                   "add the sizes, or do not name the file"};
  }
  return catalogue;
}

const Catalogue& standard_catalogue() {
  static const Catalogue catalogue = [] {
    Catalogue all;
    for (const std::string_view csv :
         {embedded::threads_csv, embedded::hexagons_csv, embedded::washers_csv, embedded::reamers_csv,
          embedded::rivets_csv, embedded::rivet_heads_csv, embedded::bars_csv}) {
      const Result<Catalogue> table = parse_catalogue(csv, "built in");
      assert(table.ok());
      all = merged(all, *table);
    }
    return all;
  }();
  return catalogue;
}

}  // namespace fairhole
