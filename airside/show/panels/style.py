"""How the panels look: one small style sheet over Jupyter's own colours, so that light and dark follow it."""

from __future__ import annotations

STYLE = """<style>
.airside-panel {max-width: 1320px}
.airside-columns {display: flex; flex-flow: row nowrap; align-items: flex-start; width: 100%; overflow: visible}
.airside-left {flex: 0 0 292px; padding: 0 12px 4px 0; overflow: visible}
.airside-right {flex: 1 1 396px; min-width: 360px; overflow: visible; position: sticky; top: 6px}
.jp-OutputArea-child:has(.airside-panel), .jp-OutputArea-output:has(.airside-panel),
.jupyter-widgets:has(> .airside-panel), .jp-OutputArea:has(.airside-panel) {overflow: visible}
.airside-field {width: auto; margin: 2px 2px 0}
.airside-field.widget-text, .airside-field.widget-dropdown, .airside-field.widget-textarea {
  display: flex; flex-direction: column; align-items: stretch; height: auto}
.airside-field > label.widget-label {width: auto; max-width: none; height: auto; text-align: left;
  white-space: normal; font-size: 12px; line-height: 1.3; margin: 0; padding: 0 0 1px; flex: none}
.airside-field > input, .airside-field > textarea, .airside-field > select {width: 100%; flex: none}
.airside-field > input, .airside-field > select {height: 28px}
.airside-field > input, .airside-field > textarea {font-size: 12px; padding: 2px 5px}
.airside-field input::placeholder, .airside-field textarea::placeholder {font-style: italic; opacity: .65}
.airside-field.airside-wrong > input, .airside-field.airside-wrong > textarea, .airside-field.airside-wrong > select,
.airside-slider .airside-wrong input {border-color: var(--jp-error-color1, #b00); border-width: 2px}
.airside-wrong-text {font-size: 12px; line-height: 1.3; color: var(--jp-error-color1, #b00)}
.airside-box {height: auto; overflow: visible}
.airside-box > .widget-html-content {line-height: 1.35}
.airside-slider {margin: 2px 0 4px; overflow: visible}
.airside-slider .widget-text {display: grid; grid-template-columns: 1fr 88px; align-items: end; width: auto; height: auto}
.airside-slider .widget-text > label.widget-label {width: auto; text-align: left; white-space: normal; font-size: 12px;
  line-height: 1.3; height: auto}
.airside-slider .widget-text > input {width: 100%}
.airside-slider .widget-hslider {width: auto; height: 22px; margin: 0 8px}
.airside-fold > button, button.airside-fold {background: transparent; text-align: left; padding: 0 2px; font-weight: 600;
  color: var(--jp-content-font-color1, inherit); width: 100%; box-shadow: none; margin: 4px 0 0}
.airside-inside {padding: 0 0 4px 10px; overflow: visible}
.airside-bar {flex-flow: row wrap; align-items: center; overflow: visible}
.airside-bar .widget-toggle-buttons {width: auto; display: flex; flex-flow: row nowrap; align-items: center; height: 30px}
.airside-bar .widget-toggle-buttons label.widget-label {width: 46px; text-align: left; margin: 0; font-size: 12px}
.airside-bar .widget-toggle-buttons .widget-toggle-button {box-shadow: none; line-height: 24px; height: 24px}
.airside-bar .widget-toggle-buttons .mod-active {font-weight: 600; outline: 1px solid var(--jp-ui-font-color2, #666)}
.airside-files {border-top: 1px solid var(--jp-border-color2, #bbb); margin-top: 8px; padding-top: 4px; overflow: visible}
.airside-files .widget-text {width: 330px}
.airside-files .widget-text label.widget-label {width: 92px; text-align: left; font-size: 12px}
.airside-bar > button.jupyter-button {width: auto; min-width: 64px; padding: 0 12px}
.airside-stale {opacity: .35}
.airside-working, .airside-working * {cursor: progress}
.airside-picture img {max-width: 100%; height: auto}
.airside-small {font-size: 12px; line-height: 1.35}
</style>"""
