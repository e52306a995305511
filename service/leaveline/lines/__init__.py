"""The main job: from a leave and a bowler to the lines that make the most misses still make it.

`solve` searches, `evaluate` works out a given line, `make_probabilities` is the fast part of it
alone; `words_for` says a line as a coach would.
"""

from leaveline.lines.bowler import Bowler
from leaveline.lines.line import Line, Stance
from leaveline.lines.solve import evaluate, make_probabilities, solve
from leaveline.lines.words import words_for

__all__ = ["Bowler", "Line", "Stance", "evaluate", "make_probabilities", "solve", "words_for"]
