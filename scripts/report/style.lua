-- The one look of the HTML reports: plain document design, readable on a phone, on paper in grey, in light and in dark.
return [[
:root { --ink: #1b1d1f; --paper: #ffffff; --soft: #565c63; --line: #c9ced3; --tint: #f3f4f2; --mark: #1b1d1f; --mark-ink: #ffffff; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e9e7e2; --paper: #17191b; --soft: #b0b5ba; --line: #464c52; --tint: #212427; --mark: #e9e7e2; --mark-ink: #17191b; }
}
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0 auto; padding: 1rem; max-width: 54rem; background: var(--paper); color: var(--ink); font: 1rem/1.45 "DejaVu Sans", Verdana, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 1.05rem; margin: 0 0 .75rem; font-weight: normal; color: var(--soft); }
h2 { font-size: 1.25rem; margin: 2rem 0 .5rem; padding-bottom: .2rem; border-bottom: 2px solid var(--ink); }
h3 { font-size: 1.05rem; margin: 0; }
p { margin: .3rem 0; }
.verdict { border: 3px solid var(--ink); padding: .75rem 1rem; margin: 0 0 1rem; }
.verdict strong { display: block; font-size: 2rem; line-height: 1.15; }
.verdict.stop, .verdict.unknown { background: var(--mark); color: var(--mark-ink); }
.verdict.caution { border-style: dashed; }
.facts { display: grid; grid-template-columns: max-content 1fr; gap: .1rem 1rem; margin: 0 0 1rem; }
.facts dt { color: var(--soft); } .facts dd { margin: 0; }
article { border-left: 6px solid var(--line); padding: .1rem 0 .1rem .8rem; margin: 1.1rem 0; break-inside: avoid; }
article.stop { border-left-color: var(--ink); } article.unknown { border-left: 6px dotted var(--ink); } article.caution { border-left: 6px double var(--ink); }
.mark { display: inline-block; font-weight: bold; border: 2px solid currentColor; padding: 0 .4em; margin-right: .4em; white-space: nowrap; }
.stop > h3 .mark, .stop.mark { background: var(--mark); color: var(--mark-ink); border-color: var(--mark); }
.caution > h3 .mark { border-style: dashed; }
.action { font-weight: bold; }
.small { color: var(--soft); font-size: .875rem; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: .9375rem; }
caption { text-align: left; font-weight: bold; padding: .3rem 0; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem .3rem 0; border-bottom: 1px solid var(--line); }
thead th { white-space: nowrap; }
td.number { white-space: nowrap; font-variant-numeric: tabular-nums; }
details { margin: .4rem 0; } summary { cursor: pointer; color: var(--soft); padding: .25rem 0; }
details > div { background: var(--tint); padding: .5rem .75rem; }
code { font: .875rem/1.4 "DejaVu Sans Mono", monospace; white-space: pre-wrap; }
ul.boxes { list-style: none; padding: 0; columns: 18rem; } ul.boxes li { padding: .15rem 0; break-inside: avoid; }
.cautions li { margin: .4rem 0; }
footer { margin-top: 2rem; border-top: 1px solid var(--line); padding-top: .5rem; }
@media (max-width: 40rem) {
  .list thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .list tr { display: block; padding: .4rem 0; border-bottom: 1px solid var(--line); }
  .list th, .list td { display: block; border: 0; padding: .05rem 0; }
}
@media print {
  @page { size: A4; margin: 16mm 14mm; }
  :root { --ink: #000; --paper: #fff; --soft: #333; --line: #999; --tint: #fff; --mark: #fff; --mark-ink: #000; }
  body { max-width: none; padding: 0; font-size: 10pt; }
  .verdict.stop, .verdict.unknown { border-width: 6px; }
  h2 { break-after: avoid; } article, tr { break-inside: avoid; }
  details > summary { display: none; }
}
]]
