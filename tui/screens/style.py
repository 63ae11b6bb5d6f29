"""The layout of every screen; each colour comes from the theme's own parts.

Must never: blink, or use a border whose signs a plain console lacks.
"""

from __future__ import annotations

STYLE = """
Screen { background: $page-ground; color: $page-ink; }
StepArea, PageArea { scrollbar-size: 0 0; }
Text { width: 100%; height: auto; }
Rows { width: 100%; }
#small { height: 100%; padding: 1 2; display: none; }
#whole { height: 100%; layers: page far; }
#far { background: $page-ground; color: $page-ink; text-style: bold; }
#head { background: $head-ground; color: $head-ink; height: 2; }
.practice #head { background: $practice-ground; color: $practice-ink; }
#strip { background: $strip-ground; color: $strip-ink; }
#step, #pane, #page, #form { height: 1fr; }
#warnings { background: $danger-ground; color: $danger-ink; padding: 0 1; }
#now { background: $now-ground; color: $now-ink; }
#table, #choices, #form-rows { background: $page-ground; color: $page-ink; }
#entry, #field, #form-field { background: $field-ground; color: $field-ink; padding: 0 1; }
#fault, #needs, #form-fault { color: $fault-ink; background: $fault-ground; padding: 0 1; }
#here, #detail, #intro, #title, #page-title, #page-text, #form-title, #form-says { padding: 0 1; }
#lone { background: $danger-ground; color: $danger-ink; }
#said { background: $said-ground; color: $said-ink; }
#keys { background: $keys-ground; color: $keys-ink; height: 1; }
"""
