"""Drawings as SVG text: records in, one `Drawing` out, ready to stand in a page.

Colours, weights and dashes are classes (web/static/css/drawings.css), so that one drawing serves light, dark and paper and a
strict content policy finds nothing inline. The page brings the patterns `hatch`, `hatch-ink`, `ticks` and the arrow `tip` once.
Down is toward the floor, right is toward the old load, in every drawing.
"""
