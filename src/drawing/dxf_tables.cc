// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#include "dxf_tables.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

namespace fairhole::drawing::dxf {
namespace {

/// A table and its records. `record(name, subclass)` starts one; R12 has neither handles nor subclasses.
class Table {
 public:
  Table(DxfGroups& out, const char* type, int count) : out_(out), type_(type) {
    out_.text(0, "TABLE");
    out_.text(2, type);
    if (!out_.r12()) {
      handle_ = out_.new_handle();
      out_.text(5, handle_);
      out_.text(330, "0");
    }
    out_.subclasses({"AcDbSymbolTable"});
    out_.integer(70, count);
  }
  ~Table() { out_.text(0, "ENDTAB"); }
  Table(const Table&) = delete;
  Table& operator=(const Table&) = delete;

  void record(const std::string& name, const char* subclass, const std::string& handle = {}) {
    out_.text(0, type_);
    if (!out_.r12()) {
      // A dimension style carries its handle in group 105: 5 meant something else there first.
      out_.text(std::string(type_) == "DIMSTYLE" ? 105 : 5, handle.empty() ? out_.new_handle() : handle);
      out_.text(330, handle_);
    }
    out_.subclasses({"AcDbSymbolTableRecord", subclass});
    out_.text(2, name);
  }

 private:
  DxfGroups& out_;
  const char* type_;
  std::string handle_;
};

/// A view that shows the whole drawing when the file is opened.
void put_views(DxfGroups& out, const Box& extents) {
  const Eigen::Vector2d centre = (extents.low_mm + extents.high_mm) / 2;
  const Eigen::Vector2d size = extents.high_mm - extents.low_mm;
  static constexpr double kAspect = 1.6;
  Table table(out, "VPORT", 1);
  table.record(out.r12() ? "*ACTIVE" : "*Active", "AcDbViewportTableRecord");
  out.integer(70, 0);
  const auto pair = [&](int code, double x, double y) {
    out.real(code, x);
    out.real(code + 10, y);
  };
  pair(10, 0.0, 0.0);
  pair(11, 1.0, 1.0);
  pair(12, centre.x(), centre.y());
  pair(13, 0.0, 0.0);
  pair(14, 10.0, 10.0);
  pair(15, 10.0, 10.0);
  pair(16, 0.0, 0.0);
  out.real(36, 1.0);  // seen from above
  out.point(17, Eigen::Vector2d::Zero());
  out.real(40, std::max({size.y(), size.x() / kAspect, 1.0}) * 1.1);
  out.real(41, kAspect);
  out.real(42, 50.0);
}

void put_line_type(DxfGroups& out, Table& table, const char* name, const char* description,
                   const std::vector<double>& dashes_mm) {
  double length = 0.0;
  for (const double dash : dashes_mm) length += std::abs(dash);
  table.record(name, "AcDbLinetypeTableRecord");
  out.integer(70, 0);
  out.text(3, description);
  out.integer(72, 65);
  out.integer(73, static_cast<int>(dashes_mm.size()));
  out.real(40, length);
  for (const double dash : dashes_mm) {
    out.real(49, dash);
    if (!out.r12()) out.integer(74, 0);
  }
}

void put_line_types(DxfGroups& out) {
  Table table(out, "LTYPE", out.r12() ? 3 : 5);
  if (!out.r12()) {
    put_line_type(out, table, "ByBlock", "", {});
    put_line_type(out, table, "ByLayer", "", {});
  }
  put_line_type(out, table, out.r12() ? "CONTINUOUS" : "Continuous", "Solid line", {});
  put_line_type(out, table, "DASHED", "Broken line", {3.0, -1.5});
  put_line_type(out, table, "CENTER", "Long dash, dot", {8.0, -1.5, 1.0, -1.5});
}

void put_layers(DxfGroups& out, std::span<const Layer> layers, std::span<const std::string> names) {
  Table table(out, "LAYER", static_cast<int>(layers.size()) + 1);
  const auto put = [&](const std::string& name, int colour) {
    table.record(name, "AcDbLayerTableRecord");
    out.integer(70, 0);
    out.integer(62, colour);
    out.text(6, out.r12() ? "CONTINUOUS" : "Continuous");
    if (!out.r12()) {
      out.integer(370, -3);  // default weight
      out.text(390, kPlotStyle);
    }
  };
  put("0", 7);
  for (std::size_t i = 0; i < layers.size(); ++i) put(names[i], layers[i].colour_index);
}

void put_text_style(DxfGroups& out) {
  Table table(out, "STYLE", 1);
  table.record(out.r12() ? "STANDARD" : "Standard", "AcDbTextStyleTableRecord");
  out.integer(70, 0);
  out.real(40, 0.0);
  out.real(41, 1.0);
  out.real(50, 0.0);
  out.integer(71, 0);
  out.real(42, 2.5);
  out.text(3, "txt");
  out.text(4, "");
}

void put_modern_tables(DxfGroups& out) {
  { const Table views(out, "VIEW", 0); }
  { const Table systems(out, "UCS", 0); }
  {
    Table applications(out, "APPID", 1);
    applications.record("ACAD", "AcDbRegAppTableRecord");
    out.integer(70, 0);
  }
  {
    Table styles(out, "DIMSTYLE", 1);
    out.subclasses({"AcDbDimStyleTable"});
    out.integer(71, 0);
    styles.record("Standard", "AcDbDimStyleTableRecord");
    out.integer(70, 0);
  }
  Table records(out, "BLOCK_RECORD", 2);
  records.record("*Model_Space", "AcDbBlockTableRecord", kModelRecord);
  out.text(340, kModelLayout);
  records.record("*Paper_Space", "AcDbBlockTableRecord", kPaperRecord);
  out.text(340, kPaperLayout);
}

void put_block(DxfGroups& out, const char* name, const std::string& record, bool paper) {
  const auto start = [&](const char* type, const char* subclass) {
    out.object(type, out.new_handle(), record);
    out.subclasses({"AcDbEntity"});
    if (paper) out.integer(67, 1);
    out.text(8, "0");
    out.subclasses({subclass});
  };
  start("BLOCK", "AcDbBlockBegin");
  out.text(2, name);
  out.integer(70, 0);
  out.point(10, Eigen::Vector2d::Zero());
  out.text(3, name);
  out.text(1, "");
  start("ENDBLK", "AcDbBlockEnd");
}

void section(DxfGroups& out, const char* name, const std::function<void()>& body) {
  out.text(0, "SECTION");
  out.text(2, name);
  body();
  out.text(0, "ENDSEC");
}

void put_dictionary(DxfGroups& out, const std::string& handle, const std::string& owner,
                    std::initializer_list<std::pair<const char*, std::string>> entries) {
  out.object("DICTIONARY", handle, owner);
  out.subclasses({"AcDbDictionary"});
  out.integer(281, 1);
  for (const auto& [name, value] : entries) {
    out.text(3, name);
    out.text(350, value);
  }
}

void put_layout(DxfGroups& out, const char* name, int tab, const std::string& handle,
                const std::string& record) {
  out.object("LAYOUT", handle, kLayoutDictionary);
  out.subclasses({"AcDbPlotSettings"});
  out.text(1, "");
  out.text(2, "");
  out.text(4, "");
  out.text(6, "");
  out.integer(70, tab == 0 ? 1024 : 0);  // 1024: the model's own tab
  out.integer(72, 1);                    // paper in mm
  out.subclasses({"AcDbLayout"});
  out.text(1, name);
  out.integer(70, 1);
  out.integer(71, tab);
  out.text(330, record);
}

}  // namespace

void put_header(DxfGroups& out, const Box& extents, const std::string& next_handle) {
  const auto variable = [&](const char* name, int code, const char* value) {
    out.text(9, name);
    out.text(code, value);
  };
  section(out, "HEADER", [&] {
    variable("$ACADVER", 1, out.r12() ? "AC1009" : "AC1015");
    variable("$DWGCODEPAGE", 3, "ANSI_1252");
    out.text(9, "$EXTMIN");
    out.point(10, extents.low_mm);
    out.text(9, "$EXTMAX");
    out.point(10, extents.high_mm);
    variable("$LTSCALE", 40, "1.0");
    variable("$LUNITS", 70, "2");
    variable("$INSUNITS", 70, "4");
    variable("$MEASUREMENT", 70, "1");
    if (!out.r12()) variable("$HANDSEED", 5, next_handle.c_str());
  });
  if (!out.r12()) section(out, "CLASSES", [] {});
}

void put_tables(DxfGroups& out, std::span<const Layer> layers, std::span<const std::string> names,
                const Box& extents) {
  section(out, "TABLES", [&] {
    put_views(out, extents);
    put_line_types(out);
    put_layers(out, layers, names);
    put_text_style(out);
    if (!out.r12()) put_modern_tables(out);
  });
  section(out, "BLOCKS", [&] {
    if (out.r12()) return;
    put_block(out, "*Model_Space", kModelRecord, false);
    put_block(out, "*Paper_Space", kPaperRecord, true);
  });
}

void put_objects(DxfGroups& out) {
  if (out.r12()) return;
  section(out, "OBJECTS", [&] {
    put_dictionary(out, kRootDictionary, "0",
                   {{"ACAD_GROUP", kGroupDictionary},
                    {"ACAD_LAYOUT", kLayoutDictionary},
                    {"ACAD_PLOTSTYLENAME", kPlotStyleDictionary}});
    put_dictionary(out, kGroupDictionary, kRootDictionary, {});
    put_dictionary(out, kLayoutDictionary, kRootDictionary,
                   {{"Model", kModelLayout}, {"Layout1", kPaperLayout}});
    put_layout(out, "Model", 0, kModelLayout, kModelRecord);
    put_layout(out, "Layout1", 1, kPaperLayout, kPaperRecord);
    out.object("ACDBDICTIONARYWDFLT", kPlotStyleDictionary, kRootDictionary);
    out.subclasses({"AcDbDictionary"});
    out.integer(281, 1);
    out.text(3, "Normal");
    out.text(350, kPlotStyle);
    out.subclasses({"AcDbDictionaryWithDefault"});
    out.text(340, kPlotStyle);
    out.object("ACDBPLACEHOLDER", kPlotStyle, kPlotStyleDictionary);
  });
}

}  // namespace fairhole::drawing::dxf
