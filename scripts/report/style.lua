-- The one look of the HTML reports: plain document design, readable on a phone, on paper in grey, in light and in dark.
return [[
:root { color-scheme: light dark; --ink: #1b1d1f; --paper: #ffffff; --soft: #53595f; --line: #c4c9ce; --tint: #f3f4f2; --mark: #1b1d1f; --mark-ink: #ffffff; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e9e7e2; --paper: #17191b; --soft: #b6bbc0; --line: #4b5157; --tint: #212427; --mark: #e9e7e2; --mark-ink: #17191b; }
}
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0 auto; padding: 1rem; max-width: 54rem; background: var(--paper); color: var(--ink);
  font: 1rem/1.45 "DejaVu Sans", Verdana, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 1.05em; margin: 0 0 .75rem; font-weight: normal; color: var(--soft); }
h2 { font-size: 1.25em; margin: 2rem 0 .5rem; padding-bottom: .2rem; border-bottom: 2px solid var(--ink); }
h3 { font-size: 1.05em; margin: 0; }
p { margin: .3rem 0; }
a { color: inherit; } :focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
.banner { border: 3px solid var(--ink); padding: .3rem 1rem; margin: 0 0 .5rem; text-align: center; font-weight: bold; text-transform: uppercase; }
.verdict { border: 3px solid var(--ink); padding: .75rem 1rem; margin: 0 0 1rem; }
.verdict strong { display: block; font-size: 2em; line-height: 1.15; }
.verdict.stop, .verdict.unknown { background: var(--mark); color: var(--mark-ink); }
.verdict.caution { border-style: dashed; }
.facts { display: grid; grid-template-columns: fit-content(55%) minmax(40%, 1fr); gap: 0 1rem; margin: 0 0 1rem; } .facts div { display: contents; }
.facts dt { color: var(--soft); } .facts dd { margin: 0; }
article { border-left: 6px solid var(--line); padding: .1rem 0 .1rem .8rem; margin: 1.1rem 0; }
article.stop { border-left-color: var(--ink); } article.unknown { border-left: 6px dotted var(--ink); } article.caution { border-left: 6px double var(--ink); }
.mark { display: inline-block; font-weight: bold; border: 2px solid currentColor; padding: 0 .4em; margin-right: .4em; white-space: nowrap; }
.stop > h3 .mark { background: var(--mark); color: var(--mark-ink); border-color: var(--mark); }
.unknown > h3 .mark { border-style: dotted; } .caution > h3 .mark { border-style: dashed; }
.action { font-weight: bold; }
.small { color: var(--soft); font-size: .875em; } .small .small { font-size: 1em; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: .9375em; }
caption { text-align: left; font-weight: bold; padding: .3rem 0; }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0; border-bottom: 1px solid var(--line); }
tbody th { font-weight: normal; } th.group { font-weight: bold; padding-top: 1rem; }
.number, table.data td { white-space: nowrap; font-variant-numeric: tabular-nums; }
.list { table-layout: fixed; } .list th:first-child { width: 30%; } .list .reason { width: 28%; } .list .number { white-space: normal; }
td.blank { border: 1px solid var(--soft); min-width: 5rem; }
details { margin: .4rem 0; } summary { cursor: pointer; color: var(--soft); padding: .25rem 0; width: fit-content; }
details > div { background: var(--tint); padding: .5rem .75rem; }
code { font: .875em/1.4 "DejaVu Sans Mono", monospace; white-space: pre-wrap; }
ul, ol { padding-left: 1.4rem; margin: .3rem 0; }
ul.boxes { list-style: none; padding: 0; columns: 18rem; } ul.boxes li { padding: .15rem 0 .15rem 1.5em; text-indent: -1.5em; break-inside: avoid; }
ul.first { margin: 0 0 1rem; } ul.first li { margin: .15rem 0; }
.cautions li { margin: .4rem 0; }
figure { margin: 1rem 0 1.5rem; break-inside: avoid; max-width: 40rem; } figcaption { font-weight: bold; padding-bottom: .3rem; }
svg.chart { display: block; width: 100%; height: auto; color: var(--ink); }
.hollow { fill: var(--paper); } .halo { paint-order: stroke; stroke: var(--paper); stroke-width: 4px; }
ol.events { font-size: .9375em; }
footer { margin-top: 2rem; border-top: 1px solid var(--line); padding-top: .5rem; }
@media (max-width: 40rem) {
  .list thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .list tr { display: block; padding: .4rem 0; border-bottom: 1px solid var(--line); }
  .list th, .list th:first-child, .list td, .list .reason { display: block; width: auto; border: 0; padding: .05rem 0; }
  .list td:empty:not(.blank) { display: none; }
  .list td[data-label]::before { content: attr(data-label) ": "; color: var(--soft); }
  .list tr > th[scope=rowgroup] { font-weight: bold; font-size: 1.05rem; padding-top: .5rem; }
  .list td.blank { border: 1px solid var(--soft); min-height: 2.2rem; padding: .2rem .4rem; }
}
.sheet .verdict strong { display: inline; font-size: 1.25rem; } .sheet .verdict { padding: .4rem .75rem; }
.sheet h2 { font-size: 1.05rem; margin: 1rem 0 .25rem; }
.sheet tbody th[scope=rowgroup] { font-weight: bold; }
@media (min-width: 40.01rem), print {
  .list.reasons thead th { width: 11%; } .list.reasons thead th:first-child { width: 17%; } .list.reasons thead th:last-child { width: 28%; }
  .grouped thead th:nth-child(1) { width: 16%; } .grouped thead th:nth-child(2) { width: 38%; }
  .sheet .list th:nth-child(1) { width: 13%; } .sheet .list thead th:nth-child(2) { width: 28%; } .sheet .list thead th:nth-child(n+3) { width: 11%; }
  .sheet .list thead th:nth-child(5) { width: 25%; } .sheet .list tr > th[scope=row] { width: auto; }
  .sheet .list.even thead th:nth-child(n) { width: auto; }
}
.signed { display: grid; grid-template-columns: repeat(auto-fit, minmax(7rem, 1fr)); gap: 1rem; margin-top: 1.2rem; }
.signed span { border-bottom: 1px solid var(--soft); padding-bottom: .1rem; min-height: 1.8rem; }
@media print {
  @page { size: A4; margin: 16mm 14mm; }
  :root { color-scheme: light; --ink: #000; --paper: #fff; --soft: #333; --line: #999; --tint: #fff; --mark: #fff; --mark-ink: #000; }
  body { max-width: none; padding: 0; font-size: 8.5pt; line-height: 1.3; }
  .verdict.stop, .verdict.unknown { border-width: 6px; }
  .stop > h3 .mark { border-color: #000; border-width: 3px; }
  h2, h3, .action, caption { break-after: avoid; } h2 { margin-top: 1.4rem; } tr, li, dl div { break-inside: avoid; }
  p { orphans: 3; widows: 3; } thead { display: table-header-group; }
  section > .facts { grid-template-columns: max-content 1fr max-content 1fr; gap: 0 .6rem; }
  article { margin: .5rem 0; } article p { margin: .1rem 0; }
  article .facts { display: block; margin: 0; } .measured, .because, .passes p { display: inline; } .measured + .because::before { content: "; "; }
  article .facts div, article .facts dt, article .facts dd, article ul, article li { display: inline; padding: 0; }
  article .facts dt::after { content: ": "; } article .facts div:not(:last-child)::after, article li:not(:last-child)::after { content: "; "; }
  .brief table { font-size: 8pt; } .brief th, .brief td { padding: .1rem .4rem .1rem 0; border: 0; } .list th.group { padding-top: .3rem; }
  .brief tr { display: grid; grid-template-columns: 48% 16% 24% 12%; border-bottom: 1px solid var(--line); }
  .brief .list th, .brief .list td, .brief .list th:first-child { width: auto; } .brief th.group { grid-column: 1 / -1; }
  .brief .list .reason, .brief .noted > span, .brief .own { display: none; } .brief .list td.noted { display: block; grid-column: 1 / -1; }
  .why thead { display: none; } .why tr { grid-template-columns: 48% 52%; } .why .list td { display: none; }
  .why .list td.reason { display: block; grid-column: auto; } .why .reason > .small, .why .noted > .small { display: none; } .why .noted > span:first-child { display: inline; }
  .passes p::after { content: " "; } section { orphans: 1; widows: 1; }
  figure { display: inline-block; width: 88mm; margin: .3rem 2mm .3rem 0; vertical-align: top; } figure details, details:not([open]) { display: none; }
  .wide { overflow: visible; }
  .grouped th, .grouped td { padding-top: .1rem; padding-bottom: .1rem; }
  body.sheet { font-size: 7.2pt; line-height: 1.17; }
  .sheet h1 { margin-bottom: .1rem; font-size: 8pt; } .sheet h2 { margin: .25rem 0 .05rem; padding: 0; font-size: 8pt; border-bottom-width: 1px; }
  .sheet .verdict { margin-bottom: .2rem; padding: .1rem .5rem; border-width: 2px; }
  .sheet .verdict strong { font-size: 11pt; } .sheet table { font-size: 7.2pt; } .sheet th, .sheet td { padding: .04rem .4rem .04rem 0; }
  .sheet td.blank { padding: 0; } .sheet .again thead tr { visibility: collapse; }
  .sheet ul.first { margin-bottom: .2rem; padding-left: 1rem; } .sheet ul.first li { margin: 0; break-inside: avoid; }
  .sheet .facts { margin-bottom: .1rem; grid-template-columns: max-content 1fr max-content 1fr; gap: 0 .6rem; }
  .sheet ul.boxes { columns: 3; margin: .1rem 0; } .sheet ul.boxes li { padding-top: 0; padding-bottom: 0; } .sheet p { margin: .1rem 0; }
  .sheet .signed { margin-top: .2rem; } .signed span { min-height: 1.4rem; } .sheet footer { margin-top: .2rem; padding-top: .1rem; } .sheet .small { font-size: 6.8pt; }
}
@media print { @page sheet { size: A4; margin: 7mm 10mm; } body.sheet { page: sheet; } }
]]
