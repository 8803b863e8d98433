"""The sheet's own style: on screen and on paper, A4 or US Letter, black on white."""

from __future__ import annotations

# No page size is named: the printer's own paper rules, and 14 mm all round fits A4 and US Letter.
STYLE = """
@page { margin: 10mm }
* { box-sizing: border-box }
:root { color-scheme: light dark; --ink: #1d1d1d; --paper: #fff; --faint: #6a6a6a; --head: #eee }
@media screen and (prefers-color-scheme: dark) {
  :root { --ink: #e9e6df; --paper: #17191b; --faint: #a5a5a5; --head: #2a2d30 }
  figure svg, .key svg, td svg { background: #fff; border-radius: 1mm }
}
html { color: var(--ink); background: var(--paper); font: 11pt/1.4 Helvetica, Arial, sans-serif }
main { max-width: 196mm; margin: 8mm auto; padding: 0 4mm; overflow-wrap: break-word }
body { margin: 0 }
h1 { font-size: 20pt; line-height: 1.15; margin: 0 0 2mm; overflow-wrap: anywhere }
h2 { font-size: 14pt; margin: 7mm 0 2mm; border-bottom: 0.5mm solid var(--ink) }
h3 { font-size: 11.5pt; margin: 3mm 0 1mm }
h2, h3 { break-after: avoid; break-inside: avoid }
h2 + p, h3 + p { break-after: avoid; break-inside: avoid }
p { margin: 1mm 0 2mm; orphans: 3; widows: 3 }
.lead { font-size: 12pt }
table { border-collapse: collapse; width: 100%; margin: 2mm 0 3mm; font-size: 10pt }
th, td { border: 0.25mm solid #8a8a8a; padding: 0.6mm 1.4mm; text-align: left; vertical-align: top }
th { background: var(--head); font-weight: bold }
thead { break-after: avoid }
tbody, tr { break-inside: avoid }
figure { margin: 2mm 0; break-inside: avoid; text-align: center }
figcaption { font-size: 10pt; text-align: left }
svg { max-width: 100%; height: auto; max-height: 200mm }
.plate { display: flex; flex-wrap: wrap; align-items: flex-start; gap: 2mm }
.plate > div { min-width: 60mm }
.plate > div svg { width: 100%; max-height: none }
.plate .key { flex: 1 0 100%; margin: 0 }
.two { display: flex; flex-wrap: wrap; gap: 0 4mm; align-items: flex-start }
.two table { flex: 1 1 auto; width: auto }
.even > div { flex: 1 1 80mm }
.plates { display: flex; flex-wrap: wrap; gap: 4mm; justify-content: center }
.plates svg { width: 50mm }
.plates figure { margin: 0 }
.keyed { display: grid; grid-template-columns: minmax(50mm, 1fr) 2fr; gap: 5mm; align-items: start }
.stages { display: flex; flex-wrap: wrap; gap: 1mm 3mm; align-items: flex-end; break-after: avoid }
.stages figure { width: 34.5mm; margin: 1mm 0 }
.of-picture { font-weight: bold }
.stages figcaption, .strip figcaption { font-size: 8.5pt; line-height: 1.25 }
figure.strip { break-after: avoid }
div.strip { display: flex; flex-wrap: wrap; gap: 3mm; align-items: center }
.key { list-style: none; padding: 0; text-align: center; break-inside: avoid }
.key li { display: inline-block; margin: 0 3mm 1mm 0 }
.key svg { vertical-align: -0.6mm; margin-right: 1.5mm }
ol, ul { margin: 1mm 0 2mm; padding-left: 7mm }
li { margin: 0.6mm 0; break-inside: avoid }
ol.steps { padding-left: 8mm }
.box { display: inline-block; width: 3.6mm; height: 3.6mm; margin: 0 2mm 0 0; border: 0.35mm solid var(--ink);
  vertical-align: -0.5mm }
.caution { border: 0.5mm solid var(--ink); padding: 1mm 4mm; break-inside: avoid }
.files { font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace; font-size: 9.5pt }
.load { break-inside: avoid }
.beside { display: grid; grid-template-columns: auto minmax(0, 1fr); gap: 5mm; break-inside: avoid }
.beside figure { margin: 0 }
.beside h3:first-child { margin-top: 0 }
.beside table { font-size: 9pt; margin-top: 0 }
.beside th, .beside td { padding: 0.25mm 1.2mm }
@media screen and (max-width: 160mm) { .beside, .keyed { display: block } }
.keep { break-inside: avoid }
.bags { display: grid; grid-template-columns: 1fr 1fr }
.bag { border: 0.3mm dashed var(--faint); margin: -0.15mm; padding: 1mm 3mm; break-inside: avoid }
.bag ul { list-style: none; padding: 0; font-size: 9.5pt }
@media print {
  html { font-size: 9pt; line-height: 1.25 }
  main { max-width: none; margin: 0; padding: 0 }
  h1 { font-size: 17pt }
  h2 { font-size: 12pt; margin: 3mm 0 1mm }
  figure { margin: 1mm 0 }
  h3 { font-size: 10pt; margin: 2mm 0 0.5mm }
  p { margin: 0.4mm 0 0.8mm }
  .beside ul { margin: 0.4mm 0 }
  .lead { font-size: 10pt; margin-bottom: 1mm }
  table, .files { font-size: 8.5pt }
  .beside table { font-size: 8pt }
  .beside { gap: 4mm }
  table { margin: 1mm 0 1.5mm }
  li { margin: 0.15mm 0 }
  th { background: none; border-bottom-width: 0.6mm }
  .box { width: 3mm; height: 3mm; margin-right: 1.5mm; vertical-align: -0.4mm }
  .caution { font-size: 8.5pt }
  .sewing { break-before: page }
  .two { flex-wrap: nowrap }
  .caution ul, .columns { columns: 2; column-gap: 7mm }
  .columns .stages { display: block; break-after: auto; orphans: 1; widows: 1 }
  .columns .stages figure { display: inline-block; vertical-align: bottom; width: 32.5% }
  .columns .four figure { width: 24.5% }
  .columns div.strip { flex-wrap: nowrap; gap: 1.5mm }
  .columns div.strip svg { min-width: 0; flex: 1 1 0 }
  .columns figcaption { font-size: 8pt }
}
"""
