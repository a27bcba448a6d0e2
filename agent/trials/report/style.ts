/** The look of a report: ink on paper, hairlines, one colour for what is promised; large for showing, plain for print. */
export const STYLE = `
:root { --ink: #15181c; --paper: #fbfaf6; --line: #d8d4c8; --blue: #1f5fa8; --soft: #54585e; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); line-height: 1.45;
  font-family: "Atkinson Hyperlegible Next", "Atkinson Hyperlegible", Verdana, "DejaVu Sans", sans-serif;
  font-size: 16px; font-variant-numeric: tabular-nums slashed-zero; }
main { max-width: 880px; margin: 0 auto; padding: 40px 24px 64px; }
h1 { font-size: 38px; line-height: 1.15; font-weight: 600; margin: 0 0 8px; text-wrap: balance; }
h2 { font-size: 18px; font-weight: 600; margin: 40px 0 8px; padding-top: 16px; border-top: 1px solid var(--line); }
h3 { font-size: 16px; font-weight: 600; margin: 24px 0 4px; }
p { margin: 4px 0 8px; max-width: 66ch; }
.sure, .soft, caption, figcaption { color: var(--soft); }
.simulated { border: 2px solid var(--ink); padding: 8px 16px; font-weight: 600; margin: 0 0 24px; max-width: none; }
table { border-collapse: collapse; width: 100%; margin: 8px 0; }
caption { text-align: left; padding-bottom: 4px; }
th, td { text-align: left; padding: 6px 16px 6px 0; border-bottom: 1px solid var(--line); vertical-align: top; }
th { font-weight: 600; }
td.n, th.n { text-align: right; white-space: nowrap; }
tr, figure, svg, .table { break-inside: avoid; }
h2, h3 { break-after: avoid; }
u { text-decoration: none; color: var(--soft); font-size: 0.86em; }
figure { margin: 16px 0; }
figure { overflow-x: auto; }
svg { width: 100%; min-width: 540px; height: auto; display: block; }
code { font-family: inherit; font-weight: 600; overflow-wrap: anywhere; }
ul { padding-left: 20px; margin: 4px 0; }
footer { margin-top: 48px; padding-top: 16px; border-top: 1px solid var(--line); color: var(--soft); font-size: 14px; }
.table { overflow-x: auto; }
.budget th:first-child { width: 42%; }
.seen td.n { white-space: normal; }
.seen td:first-child, .seen td:last-child { min-width: 9em; }
body.large { font-size: 26px; }
body.large main { max-width: 1400px; }
body.large h1 { font-size: 64px; }
body.large h2 { font-size: 30px; } body.large h3 { font-size: 26px; }
.money th.n { white-space: normal; }
@media (max-width: 600px) { h1 { font-size: 30px; } main { padding: 24px 16px 48px; } body.large h1 { font-size: 40px; } body.large { font-size: 20px; } }
@media print { body { background: none; font-size: 11pt; } main { padding: 0; max-width: none; } h1 { font-size: 24pt; }
  svg { max-height: 58mm; min-width: 0; } figure { margin: 8px 0; } h2 { margin-top: 20px; }
  .table { overflow-x: visible; } th, td { padding: 4px 12px 4px 0; }
  body.large { font-size: 15pt; } body.large h1 { font-size: 36pt; } @page { margin: 18mm; } }
`;
