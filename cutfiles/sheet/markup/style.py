"""The sheet's own style: on screen and on paper, A4 or US Letter, black on white."""

from __future__ import annotations

# No page size is named: the printer's own paper rules, and 14 mm all round fits A4 and US Letter.
STYLE = """
@page { margin: 14mm }
* { box-sizing: border-box }
html { color: #1d1d1d; background: #fff; font: 11pt/1.4 Helvetica, Arial, sans-serif }
body { max-width: 186mm; margin: 8mm auto; padding: 0 4mm; overflow-wrap: break-word }
h1 { font-size: 20pt; line-height: 1.15; margin: 0 0 2mm; overflow-wrap: anywhere }
h2 { font-size: 14pt; margin: 8mm 0 2mm; border-bottom: 0.5mm solid #1d1d1d }
h3 { font-size: 11.5pt; margin: 4mm 0 1mm }
h2, h3 { break-after: avoid; break-inside: avoid }
h2 + p { break-after: avoid }
p { margin: 1mm 0 2mm; orphans: 3; widows: 3 }
.lead { font-size: 12pt }
table { border-collapse: collapse; width: 100%; margin: 2mm 0 3mm; font-size: 10pt }
th, td { border: 0.25mm solid #8a8a8a; padding: 0.8mm 1.6mm; text-align: left; vertical-align: top }
th { background: #eee; font-weight: bold }
tbody, tr { break-inside: avoid }
td.number, th.number { text-align: right }
figure { margin: 2mm 0; break-inside: avoid; text-align: center }
figcaption { font-size: 10pt; text-align: left }
svg { max-width: 100%; height: auto; max-height: 200mm }
.plate svg { max-height: 92mm }
.plates { display: flex; flex-wrap: wrap; gap: 4mm; justify-content: center }
.plates svg { width: 84mm }
.stages { display: flex; flex-wrap: wrap; gap: 1mm 3mm; align-items: flex-end; break-after: avoid }
.stages figure { width: 34.5mm; margin: 1mm 0 }
.of-picture { font-weight: bold }
.stages figcaption, .strip figcaption { font-size: 8.5pt; line-height: 1.25 }
figure.strip { break-after: avoid }
div.strip { display: flex; gap: 3mm; align-items: center }
.key { list-style: none; padding: 0; text-align: center; break-inside: avoid }
.key li { display: inline-block; margin: 0 3mm 1mm 0 }
.key svg { vertical-align: -0.6mm; margin-right: 1.5mm }
ol, ul { margin: 1mm 0 2mm; padding-left: 7mm }
li { margin: 0.8mm 0; break-inside: avoid }
ol.steps { padding-left: 8mm }
.box { display: inline-block; width: 3.6mm; height: 3.6mm; margin: 0 2mm 0 0; border: 0.35mm solid #1d1d1d;
  vertical-align: -0.5mm }
.caution { border: 0.5mm solid #1d1d1d; padding: 1mm 4mm; break-inside: avoid }
.files { font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace; font-size: 9.5pt }
.load { break-before: page }
.beside { display: grid; grid-template-columns: auto minmax(0, 1fr); gap: 5mm; break-inside: avoid }
.beside figcaption { max-width: 86mm }
.beside table { font-size: 9pt }
@media screen and (max-width: 160mm) { .beside { display: block } }
.keep { break-inside: avoid }
.bags { display: grid; grid-template-columns: 1fr 1fr }
.bag { border: 0.3mm dashed #6a6a6a; margin: -0.15mm; padding: 1mm 3mm; break-inside: avoid }
.bag ul { list-style: none; padding: 0; font-size: 9.5pt }
@media print {
  html { font-size: 10pt }
  body { max-width: none; margin: 0; padding: 0 }
  th { background: none; border-bottom-width: 0.6mm }
}
"""
