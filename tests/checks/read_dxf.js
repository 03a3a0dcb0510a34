// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
//
// read_dxf.js FILE.dxf: reads a DXF with the npm package dxf-parser and prints what it found, as JSON:
// units, layer names, counts of entities by type, and the circles.
const fs = require("fs");
const path = require("path");

const module_dir = path.join(__dirname, "..", "node_modules", "dxf-parser");
if (!fs.existsSync(module_dir)) {
  console.error("dxf-parser is not installed: run tools/setup --tests");
  process.exit(2);
}
const loaded = require(module_dir);
const Parser = loaded.default || loaded;
const dxf = new Parser().parseSync(fs.readFileSync(process.argv[2], "utf8"));
const counts = {};
for (const entity of dxf.entities) counts[entity.type] = (counts[entity.type] || 0) + 1;
console.log(JSON.stringify({
  units: dxf.header["$INSUNITS"],
  layers: Object.keys(dxf.tables.layer.layers).sort(),
  counts,
  circles: dxf.entities.filter((e) => e.type === "CIRCLE")
      .map((e) => ({ x: e.center.x, y: e.center.y, d: 2 * e.radius, layer: e.layer })),
}));
