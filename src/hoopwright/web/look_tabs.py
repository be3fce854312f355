"""How the tabs of checks, joints, bender and papers look."""

CSS = """
.hw-right .q-tabs__content { flex-wrap: wrap; }
.hw-right .q-tabs__arrow { display: none !important; }
.hw-tabs-name { font-size: 12px; color: var(--soft); padding: 2px 9px 0; }
.hw-right .q-tab { padding: 0 9px; min-height: 34px; flex: 0 0 auto; }
.hw-picks { table-layout: fixed; }
.hw-picks td { vertical-align: top; text-align: left; white-space: pre-line; overflow-wrap: anywhere; }
.hw-picks th { text-align: left; }
.hw-picks tbody tr { cursor: pointer; }
.hw-picks tbody tr:hover { background: var(--chosen); }
.hw-picks tbody tr.fail td:first-child { box-shadow: inset 4px 0 0 var(--near); }
.hw-picks tbody tr.open td:first-child { box-shadow: inset 4px 0 0 var(--line); }
.hw-pick { background: none; border: 0; padding: 0 0 0 4px; font: inherit; color: inherit; text-align: left;
  cursor: pointer; }
.hw-right .q-btn__content { flex-wrap: nowrap; white-space: nowrap; }
.hw-steps { padding-left: 22px; list-style: decimal; margin: 0; width: 100%; }
.hw-words td, .hw-words th, .hw-log td, .hw-log th { text-align: left; }
.hw-log { width: 100%; }
.hw-log td { overflow-wrap: anywhere; vertical-align: top; }
.hw-log td:first-child, .hw-log td:last-child { min-width: 84px; }
.hw-page { width: 100%; border: 1px solid var(--line); background: #fff; }
.hw-page svg { width: 100%; height: auto; display: block; }
.hw-larger { background: var(--paper); color: var(--ink); align-items: center; }
.hw-larger .hw-page { max-width: 1100px; }
.hw-square svg { width: 150px; height: 150px; display: block; background: #fff; }
.hw-link { color: var(--hold); text-decoration: underline; cursor: pointer; }
.hw-right .q-expansion-item { width: 100%; border-top: 1px solid var(--line); }
.hw-right .q-expansion-item .q-item { padding-left: 0; padding-right: 0; font-weight: 700; }
.hw-right .q-field { width: 100%; }
.hw-books { width: 100%; max-height: 300px; overflow-y: auto; border-bottom: 1px solid var(--line); }
.hw-edit { background: var(--sheet); color: var(--ink); gap: 8px; height: 100%; flex-wrap: nowrap; }
.hw-edit-body { width: 100%; flex: 1 1 0; min-height: 0; gap: 12px; flex-wrap: nowrap; align-items: stretch; }
.hw-edit-text { flex: 1 1 0; min-width: 0; overflow: auto; border: 1px solid var(--line); border-radius: 6px;
  flex-wrap: nowrap; gap: 0; }
.hw-edit-beside { width: 330px; flex: none; overflow-y: auto; gap: 10px; flex-wrap: nowrap; }
.hw-edit-faults { width: 100%; flex: none; gap: 6px; }
.hw-edit-beside .q-field { width: 100%; }
.hw-gutter { white-space: pre; text-align: right; color: var(--soft); padding: 8px 8px 8px 10px;
  border-right: 1px solid var(--line); position: sticky; left: 0; flex: none; z-index: 1;
  background: var(--sheet); }
.hw-gutter, .hw-edit-text textarea { font-family: ui-monospace, monospace; font-size: 13px !important;
  line-height: 19px !important; }
.hw-edit-text .q-field { width: auto; flex: 1 0 auto; min-width: 1100px; }
.hw-edit-text .q-field__control, .hw-edit-text .q-field__native { padding: 0; }
.hw-edit-text textarea { padding: 8px 10px !important; white-space: pre; overflow: hidden; resize: none;
  color: var(--ink) !important; }
.hw-stick { width: 100%; height: 26px; display: flex; border: 1px solid var(--soft); border-radius: 3px;
  overflow: hidden; }
.hw-part { border-right: 2px solid var(--ink); background: var(--chosen); font-size: 12px; line-height: 24px;
  overflow: hidden; text-overflow: clip; white-space: nowrap; text-align: center; min-width: 1px; }
.hw-rest { flex: 1 1 0; background: repeating-linear-gradient(45deg, transparent 0 5px, var(--line) 5px 6px); }
"""
