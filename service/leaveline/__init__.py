"""Leaveline: where to stand and what board to hit for any tenpin leave.

A throw is a short chain of pure functions, and every answer is that chain averaged over how
this bowler really throws: `delivery` (hand to pins), `pins` (what falls), `lines` (the search),
`scoring` and `practice` (what it is worth), `web` (HTTP).

Units inside: inches, seconds, radians, pounds. Axes: see `leaveline.lane`.
"""

__version__ = "0.1.0"
MODEL_VERSION = "2"
"""Raised whenever a number in any answer changes; the table of changes is in CHANGELOG.md."""
