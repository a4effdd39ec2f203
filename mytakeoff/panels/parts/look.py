"""Colours, sizes and spacing of every panel, in one place. Paper and ink are JupyterLab's own."""

ACCENT = "#0b5cad"
WIDTHS_PX = (620, 980, 1180)  # narrow, middle, wide, widest: where one goes over into the next

STYLE = """
.mt-panel { color: var(--jp-content-font-color1, #111);
  font-family: var(--jp-content-font-family, sans-serif); --mt-accent: ACCENT;
  background: var(--jp-layout-color0, #fff); overflow: visible; }
.mt-panel .mt-grid { display: grid; gap: 14px 22px; width: 100%; overflow: visible;
  grid-template-columns: minmax(0, 1fr);
  grid-template-areas: "headline" "map" "controls" "table" "notes"; }
.mt-panel.mt-middle .mt-grid { grid-template-areas: "headline" "controls" "map" "table" "notes"; }
.mt-panel.mt-middle .mt-controls { columns: 2; column-gap: 26px; display: block; }
.mt-panel.mt-middle .mt-controls > * { break-inside: avoid; }
.mt-panel.mt-wide .mt-grid { grid-template-columns: 270px minmax(0, 1fr);
  grid-template-areas: "headline headline" "controls map" "controls table" "controls notes"; }
.mt-panel.mt-widest .mt-grid { grid-template-columns: 250px minmax(0, 1fr) 440px;
  grid-template-rows: auto auto 1fr;
  grid-template-areas: "headline headline headline" "controls map table" "controls notes table"; }
/* what changes in one part never asks the others to be laid out again */
.mt-panel .mt-grid > * { contain: layout style; }
/* stock sliders ask for layers of their own and stock boxes for scroll bars: both cost time in every frame */
.mt-panel :is(.noUi-origin, .noUi-connect, .noUi-connects) { will-change: auto; }
.mt-panel .jupyter-widgets { overflow: visible; }
.mt-panel .mt-headline { grid-area: headline; }
.mt-panel .mt-map { grid-area: map; min-width: 0; overflow: visible; }
.mt-panel .mt-controls { grid-area: controls; overflow: visible; }
.mt-panel .mt-table { grid-area: table; min-width: 0; overflow: visible; }
.mt-panel .mt-notes { grid-area: notes; overflow: visible; }
.mt-panel .widget-html-content, .mt-panel .jupyter-widgets.widget-html { overflow: visible; height: auto; }
.mt-panel .widget-html-content { line-height: 1.45; align-self: flex-start; width: 100%; }
.mt-panel .mt-text { line-height: 1.45; font-size: 13px; margin: 2px; }
.mt-panel .mt-headline .mt-total { font-size: 30px; font-weight: 650; line-height: 1.2;
  font-variant-numeric: tabular-nums; }
.mt-panel .mt-headline .mt-facts { font-size: 15px; font-variant-numeric: tabular-nums; }
.mt-panel .mt-headline .mt-facts span { white-space: nowrap; }
/* All the time is delay: a mark that stays as it is costs no frame, one that fades costs every frame. */
.mt-panel .mt-changed { animation: mt-changed 1ms 1.2s backwards; }
@keyframes mt-changed { from { font-weight: 800; text-decoration: underline; } }
@media (prefers-reduced-motion: reduce) { .mt-panel .mt-changed { animation: none; } }
.mt-panel.mt-narrow .mt-headline { position: sticky; top: 0; z-index: 5;
  background: var(--jp-layout-color0, #fff); padding-bottom: 4px;
  border-bottom: 1px solid var(--jp-border-color2, #ccc); }
.mt-panel.mt-narrow .mt-headline .mt-total { font-size: 24px; }
.mt-panel.mt-narrow .mt-headline .mt-facts { font-size: 13px; }
.mt-panel h3 { font-size: 13px; font-weight: 600; margin: 12px 0 4px;
  color: var(--jp-content-font-color1, #111); }
.mt-panel .mt-control { margin: 0 0 10px; overflow: visible; height: auto; }
.mt-panel .widget-label { font-size: 13px; color: var(--jp-content-font-color1, #111); }
.mt-panel .mt-row { overflow: visible; display: grid; align-items: center; gap: 2px 10px;
  grid-template: "label label" auto "slider box" 32px / minmax(0, 1fr) 84px; }
.mt-panel .mt-row > .widget-slider { grid-area: slider; width: auto; min-width: 0; }
.mt-panel .mt-row > .mt-box { display: contents; }
.mt-panel .mt-box > label { grid-area: label; text-align: left; width: auto; margin: 0; line-height: 1.3;
  white-space: normal; height: auto; }
.mt-panel .mt-box > input { grid-area: box; width: 100%; min-width: 0; text-align: right;
  font-variant-numeric: tabular-nums; }
.mt-panel .mt-pick { display: flex; flex-direction: column; align-items: stretch; width: auto;
  max-width: 340px; }
.mt-panel .mt-pick > label { text-align: left; width: auto; margin: 0; line-height: 1.5; height: auto; }
.mt-panel .mt-pick > input { width: 100%; flex: 0 0 auto; height: 30px; }
.mt-panel .mt-pick > select { width: 100%; flex: 0 0 auto; height: 30px; }
.mt-panel .jp-Collapse-header, .mt-panel .jupyter-widget-Collapse-header {
  color: var(--jp-content-font-color1, #111); }
.mt-panel .mt-hint { font-size: 12px; color: var(--jp-content-font-color1, #333); }
.mt-panel :is(input, select, button, a, summary, [role=slider], [tabindex]):focus-visible {
  outline: 2px solid var(--mt-accent); outline-offset: 2px; }
.mt-panel .mt-problem { border-left: 4px solid currentColor; padding: 6px 10px; margin: 4px 0;
  white-space: pre-line;
  background: var(--jp-warn-color3, #fff3e0); color: #111; font-size: 14px; }
.mt-panel .mt-said { font-size: 13px; min-height: 1.4em; }
.mt-panel .mt-buttons { gap: 6px; flex-wrap: wrap; overflow: visible; }
.mt-panel .mt-buttons button { width: auto; }
.mt-panel .mt-coats th { text-align: left; font-weight: 400; padding: 1px 14px 1px 0; }
.mt-panel .mt-coats thead th { font-weight: 600; }
.mt-panel .mt-coats td, .mt-panel .mt-coats thead th:not(:first-child) { text-align: right;
  padding-left: 10px; font-variant-numeric: tabular-nums; white-space: nowrap; }
.mt-panel .jupyter-widget-Collapse { margin: 4px 0; }
.mt-panel .mt-place { overflow: visible; flex-wrap: wrap; align-items: center; gap: 4px 10px; }
.mt-panel .mt-place .widget-text { width: 150px; }
.mt-panel .mt-place .mt-off { width: 190px; }
.mt-panel .mt-scroll { overflow-x: auto; max-width: 100%; }
.mt-panel .mt-tick { width: auto; max-width: 340px; height: auto; }
.mt-panel .mt-tick label { white-space: normal; line-height: 1.3; }
.mt-panel .mt-next caption { text-align: left; }
.mt-panel .mt-next thead th:not(:first-child) { white-space: normal; }
.mt-panel .mt-next :is(th, td):is(th, td) { padding: 1px 6px 1px 0; }
.mt-panel.mt-narrow .mt-next { font-size: 12px; }
""".replace("ACCENT", ACCENT)

OPTION_STYLE = """
.mt-options-panel .mt-grid { grid-template-areas: "map" "controls"; }
.mt-options-panel.mt-middle .mt-grid { grid-template-areas: "map" "controls"; }
.mt-options-panel:is(.mt-wide, .mt-widest) .mt-grid { grid-template-columns: 250px minmax(0, 1fr);
  grid-template-rows: auto; grid-template-areas: "controls map"; }
.mt-options-panel.mt-for-client:is(.mt-wide, .mt-widest) .mt-grid { grid-template-columns: minmax(0, 1fr);
  grid-template-areas: "map"; }
.mt-options-panel .mt-job { font-size: 22px; font-weight: 650; line-height: 1.25; margin: 0; }
.mt-options-panel .mt-subject { font-size: 14px; margin: 2px 0 2px; }
.mt-options-panel .mt-asked { overflow: visible; flex-wrap: wrap; gap: 4px 16px; }
.mt-options-panel .mt-asked > * { flex: 0 1 160px; margin-bottom: 4px; }
.mt-options-panel .mt-top { overflow: visible; flex-wrap: wrap; gap: 0 30px; justify-content: space-between; }
.mt-options-panel .mt-head { flex: 1 1 420px; min-width: 0; overflow: visible; }
.mt-options-panel:is(.mt-wide, .mt-widest) .mt-asked { flex: 0 0 auto; flex-wrap: nowrap; width: auto; }
.mt-options-panel:is(.mt-wide, .mt-widest) .mt-asked > * { flex: 0 0 176px; }
.mt-options-panel .mt-hint { white-space: normal; height: auto; line-height: 1.3; }
.mt-options-panel .mt-key { display: flex; flex-wrap: wrap; align-items: center; gap: 4px 14px;
  font-size: 12px; margin: 8px 0 12px; }
.mt-options-panel .mt-key svg { display: block; }
.mt-options-panel :is(.mt-wide-table, .mt-true) { overflow-x: auto; max-width: 100%; }
.mt-options-panel .mt-verdicts { font-size: 13px; list-style: none; padding-left: 0; }
.mt-options-panel .widget-html-content > svg { max-width: 100%; height: auto; }
.mt-options-panel .widget-accordion .widget-html-content { font-size: 13px; }
.mt-options-panel .widget-hprogress { width: 320px; }
.mt-figures { border-collapse: collapse; font-size: 13px; font-variant-numeric: tabular-nums; }
.mt-figures th, .mt-figures td { font-weight: 400; text-align: right; vertical-align: top; line-height: 1.35;
  padding: 4px 0 4px 14px; border-bottom: 1px solid var(--jp-border-color2, #ccc); }
.mt-figures thead th { font-weight: 600; vertical-align: bottom; }
.mt-figures th:first-child { text-align: left; padding-left: 0; min-width: 150px; font-weight: 600; }
"""

DAY_STYLE = """
.mt-day-panel .mt-grid { grid-template-areas: "headline" "map" "controls" "notes"; }
.mt-day-panel.mt-middle .mt-grid { grid-template-areas: "headline" "controls" "map" "notes"; }
.mt-day-panel:is(.mt-wide, .mt-widest) .mt-grid { grid-template-columns: 260px minmax(0, 1fr);
  grid-template-rows: auto auto 1fr;
  grid-template-areas: "headline headline" "controls map" "controls notes"; }
.mt-day-panel .mt-bars { overflow-x: auto; max-width: 100%; }
.mt-day-panel .mt-bars svg { display: block; max-width: 100%; height: auto; }
.mt-day-panel .mt-hint { white-space: normal; height: auto; line-height: 1.3; }
.mt-list { border-collapse: collapse; font-size: 13px; font-variant-numeric: tabular-nums; }
.mt-list th, .mt-list td { font-weight: 400; text-align: left; vertical-align: top; line-height: 1.4;
  padding: 4px 16px 4px 0; border-bottom: 1px solid var(--jp-border-color2, #ccc); }
.mt-list thead th, .mt-list th[scope=rowgroup] { font-weight: 600; }
.mt-list th[scope=rowgroup] { padding-top: 12px; }
.mt-list .mt-number, .mt-buy thead th:nth-child(n + 3) { text-align: right; white-space: nowrap; }
.mt-day-panel.mt-narrow .mt-bars-wide, .mt-day-panel:not(.mt-narrow) .mt-bars-narrow { display: none; }
.mt-narrow .mt-days thead { position: absolute; clip-path: inset(50%); }
.mt-narrow .mt-days :is(tbody, tr, th, td) { display: block; }
.mt-narrow .mt-days tbody th { border-bottom: 0; padding-top: 8px; }
.mt-narrow .mt-buy :is(th, td) { padding-right: 8px; }
.mt-narrow .mt-buy tr > :is(:nth-child(3), :nth-child(5)) { display: none; }
.mt-list ul { margin: 0; padding-left: 16px; }
"""

SETTING_STYLE = """
.mt-setting-panel .mt-grid { grid-template-areas: "headline" "map" "controls" "notes"; }
.mt-setting-panel.mt-middle .mt-grid { grid-template-areas: "headline" "controls" "map" "notes"; }
.mt-setting-panel:is(.mt-wide, .mt-widest) .mt-grid { grid-template-columns: 270px minmax(0, 1fr);
  grid-template-rows: auto auto 1fr;
  grid-template-areas: "headline headline" "controls map" "controls notes"; }
.mt-setting-panel .mt-elevation svg { display: block; max-width: 100%; height: auto; }
.mt-setting-panel.mt-narrow .mt-elevation-wide, .mt-setting-panel:not(.mt-narrow) .mt-elevation-narrow {
  display: none; }
.mt-setting-panel .mt-hint { white-space: normal; height: auto; line-height: 1.3; }
.mt-setting-panel ul { margin: 4px 0; padding-left: 18px; }
.mt-fixings thead th:nth-child(n + 2):nth-child(-n + 6) { text-align: right; }
.mt-fixings tr > * { padding-top: 2px; padding-bottom: 2px; }
.mt-narrow .mt-fixings :is(th, td) { padding-right: 8px; }
.mt-list { border-collapse: collapse; font-size: 13px; font-variant-numeric: tabular-nums; }
.mt-list th, .mt-list td { font-weight: 400; text-align: left; vertical-align: top; line-height: 1.4;
  padding: 4px 16px 4px 0; border-bottom: 1px solid var(--jp-border-color2, #ccc); }
.mt-list thead th, .mt-list th[scope=rowgroup] { font-weight: 600; }
.mt-list th[scope=rowgroup] { padding-top: 12px; }
.mt-list .mt-number { text-align: right; white-space: nowrap; }
"""

SURVEY_STYLE = """
.mt-survey-panel .mt-grid { grid-template-areas: "headline" "controls" "map" "notes"; }
.mt-survey-panel.mt-middle .mt-grid { grid-template-areas: "headline" "controls" "map" "notes"; }
.mt-survey-panel:is(.mt-wide, .mt-widest) .mt-grid { grid-template-columns: 280px minmax(0, 1fr);
  grid-template-rows: auto auto 1fr;
  grid-template-areas: "headline headline" "controls map" "controls notes"; }
.mt-survey-panel .mt-slim { display: none; }
.mt-survey-panel.mt-narrow .mt-slim { display: block; }
.mt-survey-panel.mt-narrow .mt-broad { display: none; }
.mt-survey-panel :is(.mt-broad, .mt-slim, figure) > svg { display: block; max-width: 100%; height: auto; }
.mt-survey-panel .mt-profiles { display: flex; flex-wrap: wrap; gap: 8px 24px; }
.mt-survey-panel figure { margin: 0; max-width: 370px; }
.mt-survey-panel figcaption { font-size: 13px; line-height: 1.4; }
.mt-survey-panel .mt-lines { flex-wrap: wrap; gap: 4px 26px; overflow: visible; }
.mt-survey-panel .mt-lines > .mt-row { flex: 0 1 330px; }
.mt-survey-panel .mt-entry { flex-wrap: wrap; gap: 2px 10px; overflow: visible; align-items: flex-end;
  border-bottom: 1px solid var(--jp-border-color2, #ccc); padding-bottom: 8px; margin-bottom: 8px; }
.mt-survey-panel .mt-small { display: flex; flex-direction: column; align-items: stretch; width: 124px;
  height: auto; }
.mt-survey-panel .mt-small.mt-in-way { width: 250px; }
.mt-survey-panel .mt-small > label { text-align: left; width: auto; line-height: 1.3; height: auto;
  white-space: normal; }
.mt-survey-panel .mt-entry > .mt-row-head { width: auto; min-width: 24px; }
.mt-survey-panel .mt-entry > .mt-row-hint { width: auto; flex: 1 1 100%; min-height: 0; margin: 0; }
.mt-survey-panel.mt-narrow .mt-entry > .mt-row-head { flex: 1 1 100%; }
.mt-survey-panel .mt-fold { width: auto; min-width: 240px; text-align: left; }
.mt-survey-panel .mt-hint { white-space: normal; }
.mt-survey-panel .mt-small > :is(input, select) { flex: 0 0 auto; height: 30px; width: 100%; }
.mt-survey-panel :is(.mt-look, .mt-bring, .mt-accept, .mt-add) { width: auto; max-width: 340px; }
.mt-survey-panel .mt-waiting { gap: 10px; flex-wrap: wrap; align-items: center; overflow: visible; }
.mt-survey-panel .widget-hprogress { width: 320px; max-width: 100%; }
.mt-survey-panel :is(ul, p) { margin: 4px 0; padding-left: 0; }
.mt-survey-panel ul { padding-left: 18px; }
"""
