"""How the tabs of checks, joints, bender and papers look."""

CSS = """
.hw-right .q-tabs__content { flex-wrap: wrap; }
.hw-right .q-tabs__arrow { display: none !important; }
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
.hw-words td, .hw-words th { text-align: left; }
.hw-page { width: 100%; border: 1px solid var(--line); background: #fff; }
.hw-page svg { width: 100%; height: auto; display: block; }
.hw-larger { background: var(--paper); color: var(--ink); align-items: center; }
.hw-larger .hw-page { max-width: 1100px; }
.hw-square svg { width: 150px; height: 150px; display: block; background: #fff; }
.hw-link { color: var(--hold); text-decoration: underline; cursor: pointer; }
.hw-right .q-expansion-item { width: 100%; border-top: 1px solid var(--line); }
.hw-right .q-expansion-item .q-item { padding-left: 0; padding-right: 0; font-weight: 700; }
.hw-right .q-field { width: 100%; }
"""
