"""How the pages look: colours, type and spacing, light and dark."""

CSS = """
:root {
  --paper: #f2f1ec; --sheet: #fbfaf7; --ink: #1d2429; --soft: #545e66; --line: #c9c8c0; --mark: #b8283c;
  --hold: #14596f; --near: #b8283c; --chosen: #e6dfd2; --button: #2f4858; --on-button: #ffffff;
}
.body--dark {
  --paper: #15191c; --sheet: #1d2327; --ink: #eef1f2; --soft: #a9b3ba; --line: #38424a; --mark: #ff8a96;
  --hold: #7fc4d6; --near: #ff8a96; --chosen: #2b353c; --button: #a9c5d6; --on-button: #15191c;
}
body { background: var(--paper); color: var(--ink); font-family: system-ui, "Segoe UI", sans-serif; font-size: 15px; }
.nicegui-content { padding: 0; height: 100vh; gap: 0; }
.hw-bar { background: var(--sheet); border-bottom: 1px solid var(--line); padding: 6px 12px; gap: 10px;
  align-items: center; width: 100%; flex-wrap: wrap; min-height: 50px; }
.hw-name { font-weight: 700; font-size: 17px; }
.hw-main { width: 100%; flex: 1 1 0; min-height: 0; gap: 0; flex-wrap: nowrap; }
.hw-side { background: var(--sheet); height: 100%; overflow-y: auto; padding: 10px; gap: 8px; }
.hw-left { width: 225px; border-right: 1px solid var(--line); flex: none; }
.hw-right { width: 400px; border-left: 1px solid var(--line); flex: none; }
.hw-middle { flex: 1 1 0; min-width: 0; height: 100%; position: relative; }
.hw-viewport { position: absolute; inset: 0; touch-action: none; }
.hw-viewport canvas { display: block; }
.hw-knobs { position: absolute; inset: 0; overflow: hidden; pointer-events: none; }
.hw-knob { position: absolute; left: 0; top: 0; width: 30px; height: 30px; border: 0; border-radius: 50%;
  background: none; padding: 0; }
.hw-knob:focus-visible { outline-offset: -2px; box-shadow: 0 0 0 3px var(--sheet); }
.hw-soft { color: var(--soft); }
.hw-head { font-weight: 700; font-size: 15px; margin-top: 4px; }
.hw-row { width: 100%; align-items: center; gap: 8px; flex-wrap: nowrap; }
.hw-item { width: 100%; padding: 6px 8px; border-radius: 6px; border: 1px solid transparent; cursor: pointer;
  background: none; text-align: left; color: var(--ink); }
.hw-item:hover { border-color: var(--line); }
.hw-item.chosen { background: var(--chosen); border-color: var(--ink); font-weight: 700; }
.hw-near { color: var(--near); font-weight: 700; }
.hw-hold { color: var(--hold); }
.hw-finding { border-left: 4px solid var(--mark); padding: 4px 8px; background: var(--paper); width: 100%; }
.hw-finding.note { border-color: var(--line); }
.hw-table { width: 100%; border-collapse: collapse; font-variant-numeric: tabular-nums; }
.hw-table th { text-align: right; font-weight: 600; color: var(--soft); padding: 3px 6px; }
.hw-table td { text-align: right; padding: 3px 6px; border-top: 1px solid var(--line); }
.hw-table thead td { border-top: 0; }
.hw-table th:first-child, .hw-table td:first-child { text-align: left; }
.hw-sides { position: absolute; left: 10px; bottom: 10px; gap: 6px; }
.hw-legend { position: absolute; right: 10px; bottom: 10px; background: var(--sheet); padding: 6px 10px;
  border: 1px solid var(--line); border-radius: 6px; font-size: 13px; }
.hw-live { position: absolute; left: 10px; top: 10px; background: var(--sheet); padding: 6px 10px; font-size: 16px;
  border: 1px solid var(--line); border-radius: 6px; font-weight: 700; z-index: 4;
  max-width: min(250px, calc(100% - 20px)); }
.hw-dialog { background: var(--sheet); color: var(--ink); min-width: 460px; max-width: 620px; }
.hw-code { font-family: ui-monospace, monospace; background: var(--paper); padding: 6px 10px; border-radius: 6px;
  overflow-wrap: anywhere; user-select: all; }
.hw-address { font-size: 20px; font-weight: 700; user-select: all; overflow-wrap: anywhere; }
.hw-pairing { font-size: 44px; font-weight: 700; letter-spacing: 0.12em; font-variant-numeric: tabular-nums; }
.hw-wanted { position: absolute; left: 50%; top: 54px; transform: translateX(-50%); background: var(--button);
  color: var(--on-button); padding: 6px 12px; border-radius: 6px; font-weight: 700; align-items: center; gap: 10px;
  max-width: 90%; z-index: 4; flex-wrap: nowrap; width: max-content; }
.hw-empty { position: absolute; left: 50%; top: 45%; transform: translate(-50%, -50%); color: var(--soft);
  font-size: 20px; }
.hw-drop { display: flex; flex-direction: column; align-items: center; gap: 4px; padding: 22px 12px; cursor: pointer;
  border: 2px dashed var(--soft); border-radius: 8px; text-align: center; }
.hw-drop.over, .hw-drop:hover { border-color: var(--ink); background: var(--chosen); }
.hw-drop:focus-within { outline: 3px solid var(--mark); outline-offset: 1px; }
.hw-drop input { position: absolute; width: 1px; height: 1px; opacity: 0; }
.hw-plain { border: 1px solid var(--line); border-radius: 6px; padding: 4px 10px; background: none; color: var(--ink);
  cursor: pointer; }
.hw-ask { background: var(--sheet); color: var(--ink); width: 480px; max-width: 92vw; gap: 8px; }
.hw-entry { width: 100%; gap: 0; }
.hw-understood { color: var(--soft); font-size: 13px; min-height: 18px; padding-left: 2px; }
.hw-understood.hw-near { color: var(--near); }
.hw-start { width: 520px; max-width: 92vw; margin: 8vh auto; background: var(--sheet); padding: 24px;
  border: 1px solid var(--line); border-radius: 10px; gap: 10px; }
.hw-section { width: 100%; gap: 6px; border-top: 1px solid var(--line); padding: 8px 0 10px; }
.hw-section:first-child { border-top: 0; padding-top: 0; }
.hw-fold { border-top: 1px solid var(--line); }
.hw-fold > .q-expansion-item__container > .q-item { padding: 6px 0; font-weight: 700; min-height: 40px; }
.hw-fold > .q-expansion-item__container > .q-expansion-item__content > * { padding: 0 0 10px; }
.hw-work { background: var(--sheet); color: var(--ink); min-width: 340px; }
.q-btn { text-transform: none; letter-spacing: 0; }
/* the page library marks its own colours important, within a layer: only its variables and inner parts can be set */
body, .body--dark { --q-primary: var(--button) !important; }
.q-btn.hw-button .q-btn__content { color: var(--on-button); }
.q-btn--flat .q-btn__content { text-decoration: underline; text-underline-offset: 3px;
  text-decoration-color: var(--line); }
.hw-wanted .q-btn__content, .q-btn-toggle .bg-primary .q-btn__content { color: var(--on-button); }
.q-notification { max-width: 560px; font-size: 13px; }
.q-notification .q-btn__content { color: #1d2429; }
@media (max-width: 1500px) { .hw-legend { bottom: 58px; } }
@media (prefers-reduced-motion: reduce) { *, *::before, *::after { transition: none !important; } }
:focus-visible { outline: 3px solid var(--mark); outline-offset: 1px; }
/* the page library takes the outline from its own parts and marks that important */
.no-outline:focus-visible, .q-focusable:focus-visible { box-shadow: 0 0 0 3px var(--mark); }
.q-item:focus-visible, .q-tab:focus-visible { box-shadow: inset 0 0 0 3px var(--mark); }
"""
