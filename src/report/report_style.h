// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fairhole::report {

/// The report's style sheet: whitened plate and ink by day and on paper, blued steel in the dark. Line and
/// word carry the meaning; colour repeats it.
inline constexpr const char* kReportStyle = R"css(
:root { --ground: #F6F4EE; --card: #FFFFFF; --ink: #1E2326; --new: #1F4E79; --warn: #A8431F; --old: #5C666B;
  --rule: #C9C6BC; }
@media screen and (prefers-color-scheme: dark) {
  :root { --ground: #171C20; --card: #1E252A; --ink: #E6E4DC; --new: #8FB8DE; --warn: #E39A78; --old: #A9B3B8;
    --rule: #3A444A; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--ground); color: var(--ink); line-height: 1.45;
  font: 16px/1.45 "DejaVu Sans", Verdana, sans-serif; }
main, header { max-width: 70rem; margin: 0 auto; padding: 0 1.2rem; }
header { padding-top: 1.5rem; }
header .facts { border-bottom: 4px solid var(--ink); padding-bottom: .5rem; margin: 0; max-width: none; }
h1 { font-size: 1.9rem; line-height: 1.15; margin: 0 0 .3rem; }
h2 { font-size: 1.4rem; margin: 2.6rem 0 .6rem; padding-top: .5rem; border-top: 2px solid var(--ink); }
main > h2:first-child { border-top: 0; margin-top: .6rem; }
h3 { font-size: 1.1rem; margin: 1.6rem 0 .4rem; }
p { margin: .4rem 0; max-width: 46rem; }
.facts { color: var(--old); margin-bottom: .8rem; }
ul { margin: .3rem 0 .8rem; padding-left: 1.3rem; max-width: 46rem; }
li { margin: .2rem 0; }
ul.plain { list-style: none; padding-left: 0; }
nav a { display: inline-block; min-height: 44px; padding: .6rem .9rem .6rem 0; color: var(--new); }
a { color: var(--new); }
.banner { border: 4px double var(--warn); color: var(--warn); padding: .6rem 1rem; margin: 1rem 0;
  font-weight: bold; font-size: 1.5rem; text-transform: uppercase; letter-spacing: .04em; }
.code { font-size: .85rem; color: var(--old); font-weight: normal; }
.trouble { border-left: 6px double var(--warn); padding-left: .8rem; list-style: none; }
.layers { list-style: none; padding: 0; margin: .4rem 0 .2rem; border-top: 1px solid var(--rule); padding-top: .3rem; }
.ways { width: 100%; font-size: .85rem; margin: .3rem 0 .5rem; } .ways th, .ways td { padding: .15rem .5rem .15rem 0; }
.ways td { border-bottom: 0; } .way td { border-top: 1px solid var(--rule); } .why { color: var(--old); }
.else th { white-space: normal !important; } .else td:first-child { min-width: 9rem; }
@media (max-width: 640px) { .else table { font-size: .8rem; } .else td, .else th { padding-right: .45rem; }
  .else td:first-child { min-width: 5.5rem; } }
 .ways .figures { padding-right: 0; padding-left: .5rem; } .ways th.figures { white-space: normal; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; margin: .5rem 0 1rem; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .3rem .7rem .3rem 0; border-bottom: 1px solid var(--rule); }
th { border-bottom: 2px solid var(--ink); vertical-align: bottom; }
.figures { text-align: right; white-space: nowrap; }
td small, .fine { font-size: .75em; }
.keep { white-space: nowrap; }
figure { margin: .6rem 0; }
figure svg { max-width: 100%; height: auto; display: block; }
figcaption { color: var(--old); }
.ink { color: var(--ink); } .new { color: var(--new); } .warn { color: var(--warn); } .old { color: var(--old); }
.paper { color: var(--ground); }
.hand { display: flex; flex-wrap: wrap; gap: 1.2rem; align-items: center; }
.hand strong { font-size: 3rem; line-height: 1; letter-spacing: .02em; }
.stacks { display: grid; grid-template-columns: repeat(auto-fill, minmax(17.5rem, 1fr)); gap: 1.2rem; }
.stack { background: var(--card); border: 1px solid var(--rule); border-top: 3px solid var(--ink); padding: .2rem .9rem .6rem; }
.stack .paper { color: var(--card); }
.stack h3 { margin: .6rem 0 .2rem; }
.stack figure { margin: .2rem auto; max-width: 15.5rem; }
.small figure { margin: 0; width: 3.4rem; }
.state { font-weight: bold; white-space: nowrap; }
details { border-bottom: 1px solid var(--rule); max-width: 62rem; }
details summary { cursor: pointer; min-height: 44px; padding: .6rem 0; color: var(--new); }
details summary b { color: var(--ink); }
.standing { font-size: 1.2rem; font-weight: bold; border-left: 6px solid var(--new); padding-left: .8rem; }
.trouble + .standing { border-left-color: var(--warn); }
@media print {
  :root { --ground: #FFFFFF; --card: #FFFFFF; --rule: #999999; }
  @page { margin: 18mm; }
  body { font-size: 10pt; }
  nav { display: none; }
  h1 { font-size: 18pt; } h2 { font-size: 14pt; break-after: avoid; } h3 { break-after: avoid; }
  table { font-size: 9pt; } .ways { font-size: 7.5pt; } td p { margin: .1rem 0; }
  figure, .stack, tr, li { break-inside: avoid; }
  thead { display: table-header-group; }
  .stacks { grid-template-columns: repeat(3, 1fr); gap: 4mm; }
  .stack { padding: 1mm 2.5mm; font-size: 8.5pt; }
  details > summary { list-style: none; color: var(--ink); min-height: 0; padding: 1mm 0; }
  details { max-width: none; } details figure svg { max-height: 52mm; width: auto; } .small figure { width: 9mm; }
  h2 { margin: 8mm 0 2mm; } h3 { margin: 3mm 0 1mm; } p { margin: .8mm 0; max-width: none; }
  .record { columns: 2; column-gap: 6mm; } .record table { font-size: 6pt; }
  .record td { padding: 0 1.2mm 0 0; white-space: nowrap; } .record th { padding: 0 1.2mm 0 0; }
  details::details-content { content-visibility: visible !important; display: block !important; }
}
)css";

}  // namespace fairhole::report
