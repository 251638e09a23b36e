"""How the book looks: on a phone, on a desk, and on A4 and Letter. No script, nothing from elsewhere."""

from __future__ import annotations

PAPERS = {"a4": "A4", "letter": "letter"}
"""Papers by the name they are asked for, and what style sheets call them."""

WIDTH = 180.0
"""mm that drawings and text may be wide: A4 and Letter hold it with a margin of 14 mm."""

_LOOK = """
:root { color: #1d1a16; background: #ffffff;
  font: 16px/1.4 Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
body { margin: 0 auto; padding: 0 4mm 20mm; max-width: 180mm; }
h1 { font-size: 2em; margin: 6mm 0 1mm; }
h2 { font-size: 1.5em; margin: 10mm 0 2mm; border-top: 0.5mm solid; padding-top: 2mm; break-after: avoid; }
h3 { font-size: 1.15em; margin: 5mm 0 1mm; break-after: avoid; }
p { margin: 1mm 0 2mm; }
ul, ol { margin: 1mm 0 2mm; padding-left: 6mm; }
li { margin: 0.6mm 0; }
a { color: inherit; }
nav ul { columns: 2; padding-left: 5mm; }
.lead { break-after: avoid; }
.quiet, .lead, figcaption { color: #6b645a; font-size: 0.85em; }
.rule { border-left: 1.2mm solid #8a5a3c; padding: 1mm 0 1mm 3mm; font-weight: bold; }
.card { border: 0.4mm solid; border-radius: 2mm; padding: 1.5mm 3mm; margin: 3mm 0; break-inside: avoid; }
.columns { columns: 2 76mm; column-gap: 4mm; }
.columns .card { margin: 0 0 3mm; }
.caution { border-color: #c4240c; }
.blank { display: inline-block; min-width: 18mm; border-bottom: 0.3mm solid; }
.wide { overflow-x: auto; margin: 2mm 0; break-inside: avoid; }
table { border-collapse: collapse; font-size: 0.9em; }
th, td { border: 0.2mm solid #6b645a; padding: 0.6mm 1.8mm; text-align: left; vertical-align: top; }
th { background: #f5ead3; }
.names td:first-child { white-space: nowrap; }
td.number { text-align: right; white-space: nowrap; }
thead { display: table-header-group; }
tr, figure { break-inside: avoid; }
figure { margin: 2mm 0; }
.drawing, pre { overflow-x: auto; }
svg { display: block; }
.halves > * { display: inline-block; vertical-align: top; margin-right: 2mm; }
.halves table { font-size: 0.85em; }
.halves td, .halves th { padding: 0.4mm 1.2mm; }
.pairs { orphans: 1; widows: 1; }
.pairs figure { display: inline-block; width: 87mm; max-width: 100%; margin: 1mm 2mm 1mm 0; vertical-align: top; }
.steps { list-style: none; padding: 0; }
.steps > li { display: flex; flex-wrap: wrap; gap: 1mm 3mm; border-top: 0.2mm solid #6b645a; padding: 1.5mm 0;
  margin: 0; break-inside: avoid; }
.steps .said { flex: 1 1 100mm; min-width: 0; }
.tick { display: inline-block; width: 3.6mm; height: 3.6mm; border: 0.4mm solid; border-radius: 0.6mm;
  vertical-align: -0.6mm; margin-right: 1.5mm; }
.deep { font-size: 1.15em; font-weight: bold; }
.go { font-weight: bold; }
@media (max-width: 700px) {
  h1 { font-size: 1.6em; }
  .steps .said { flex-basis: 60mm; }
}
@media print {
  :root { font-size: 10.5pt; line-height: 1.3; }
  body { padding: 0; max-width: none; width: 180mm; }
  section + section { break-before: page; }
  h2 { margin-top: 0; border-top: 0; padding-top: 0; }
  nav { display: none; }
  .wide, .drawing { overflow: visible; }
  .columns { column-fill: auto; font-size: 0.9em; }
  a { text-decoration: none; }
}
"""


def _page(paper: str = "") -> str:
    """The style of the printed page; without a paper the browser's own."""
    size = f" size: {PAPERS[paper]};" if paper else ""
    number = "@bottom-right { content: counter(page); font: 9pt sans-serif; }"
    return f"@page {{ margin: 12mm 14mm 14mm;{size} {number} }}\n"


def on_paper(page: str, paper: str) -> str:
    """A page of ours as it is to be printed on this paper."""
    return page.replace(_page(), _page(paper), 1)


STYLE = _page() + _LOOK
