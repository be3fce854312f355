"""How the tools over the picture look."""

CSS = """
.hw-tools { position: absolute; right: 10px; top: 10px; gap: 6px; align-items: flex-end; z-index: 5;
  max-width: calc(100% - 20px); max-height: calc(100% - 140px); flex-wrap: nowrap; }
.hw-tool-row { gap: 4px; flex-wrap: wrap; justify-content: flex-end; }
.hw-tool { background: var(--sheet) !important; color: var(--ink) !important; border: 1px solid var(--line);
  border-radius: 6px; padding: 2px 10px; min-height: 34px; }
.hw-tool.on { background: var(--button) !important; color: var(--on-button) !important; }
.q-btn.hw-tool .q-btn__content { text-decoration: none; color: var(--ink); }
.q-btn.hw-tool.on .q-btn__content, .q-btn-group .q-btn.bg-primary .q-btn__content { color: var(--on-button); }
.hw-tool-card { background: var(--sheet); color: var(--ink); border: 1px solid var(--line); border-radius: 8px;
  padding: 10px 12px; gap: 6px; width: 330px; max-width: 100%; overflow-y: auto; flex-wrap: nowrap; }
.hw-legend { display: flex; flex-direction: column; gap: 3px; pointer-events: none; }
.hw-swatch { display: flex; align-items: center; gap: 8px; }
.hw-swatch i { width: 22px; height: 11px; border-radius: 3px; border: 1px solid var(--ink); flex: none; }
.hw-drawing { background: #fff; width: 100%; border: 1px solid var(--line); border-radius: 4px; padding: 4px; }
.hw-drawing svg { display: block; width: 100%; height: auto; max-height: 78vh; }
.hw-chart { color: var(--ink); font-size: 13px; height: auto; }
.hw-chart text { fill: var(--ink); }
.hw-column { cursor: pointer; outline: none; }
.hw-column:focus-visible rect { stroke: var(--mark); stroke-width: 3; }
.hw-pick { fill: transparent; }
.hw-column:hover .hw-pick { fill: var(--chosen); fill-opacity: 0.6; }
.hw-picked { fill: var(--chosen); fill-opacity: 0.6; stroke: var(--ink); }
.hw-disc { fill: var(--hold); stroke: var(--ink); }
.hw-ring { fill: var(--sheet); stroke: var(--near); stroke-width: 2.5; }
.hw-chart .hw-short { fill: var(--near); }
.hw-middle .q-btn-group { box-shadow: none; flex-wrap: wrap; }
.body--dark .q-field__native, .body--dark .q-field__input { color: var(--ink); }
"""
