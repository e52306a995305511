"""Where the pins stand: four rows, seven columns 6 in apart, each row 10.392 in behind the last."""

from __future__ import annotations

from leaveline.lane.dimensions import FOUL_TO_HEAD_PIN_IN, PIN_SPACING_IN, ROW_SPACING_IN

ROW = {1: 0, 2: 1, 3: 1, 4: 2, 5: 2, 6: 2, 7: 3, 8: 3, 9: 3, 10: 3}
COLUMN = {7: -3, 4: -2, 2: -1, 8: -1, 1: 0, 5: 0, 3: 1, 9: 1, 6: 2, 10: 3}
"""Column of each pin, in steps of half a pin spacing, positive to the right."""

PIN_X_IN = tuple(COLUMN[pin] * PIN_SPACING_IN / 2 for pin in range(1, 11))
PIN_Y_IN = tuple(FOUL_TO_HEAD_PIN_IN + ROW[pin] * ROW_SPACING_IN for pin in range(1, 11))
