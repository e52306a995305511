"""The lane, the deck, the pin and the ball as published. One number, one source.

"Specification" below is the governing body's equipment specification for tenpin, as read in
summaries; "geometry" follows from it. Lengths in inches, masses in pounds.
"""

from __future__ import annotations

import math

BOARD_COUNT = 39  # specification: 39 boards make the lane
LANE_WIDTH_IN = 41.5  # specification: 41 1/2 in, tolerance 1/2 in
HALF_LANE_IN = LANE_WIDTH_IN / 2
BOARD_IN = LANE_WIDTH_IN / BOARD_COUNT  # geometry: 1.064 in
CENTRE_BOARD = 20.0  # geometry: the middle one of 39, for either hand

FOUL_TO_HEAD_PIN_IN = 720.0  # specification: foul line to head-pin spot, 60 ft
TARGET_IN = 180.0  # nominal: the centre arrow; arrows stand about 12 to 16 ft out (specification)
APPROACH_MIN_IN = 180.0  # specification: at least 15 ft
STANCE_IN = 156.0  # nominal: 13 ft behind the foul line, between the 15 ft and 12 ft approach dots

PIN_SPACING_IN = 12.0  # specification: spots 12 in centre to centre, equilateral
ROW_SPACING_IN = PIN_SPACING_IN * math.sqrt(3) / 2  # geometry: 10.392 in
PIT_IN = FOUL_TO_HEAD_PIN_IN + 34.1875  # specification: 62 ft 10 3/16 in from the foul line
GUTTER_WIDTH_IN = 9.25  # specification
KICKBACK_X_IN = 30.06  # derived: lane and both gutters together measure 60 to 60 1/4 in

PIN_RADIUS_IN = 4.766 / 2  # specification: widest 4.766 in, at 4 1/2 in
PIN_HEIGHT_IN = 15.0  # specification
PIN_BELLY_HEIGHT_IN = 4.5  # specification
PIN_CENTRE_OF_GRAVITY_IN = 5.80  # derived: uniform solid of the published profile
PIN_MASS_LB = 3.5625  # 3 lb 9 oz, inside the usual 3 lb 6 oz to 3 lb 10 oz (from memory)

BALL_RADIUS_IN = 8.595 / 2  # specification: circumference at most 27.002 in
BALL_MASS_LB_MAX = 16.0  # specification (from memory)
BALL_MASS_LB_MIN = 6.0  # lightest in common use (common practice)

ARROW_BOARDS = (5, 10, 15, 20, 25, 30, 35)  # specification
DOT_BOARDS = (10, 15, 20, 25, 30)  # specification: dots at the foul line and on the approach
GRAVITY_IN_S2 = 386.09  # standard gravity, 9.80665 m/s2
MPH_IN_S = 17.6  # 5280 * 12 / 3600
USUAL_SPEED_IN_S = 16.5 * MPH_IN_S
"""At the pins: the middle of the 16 to 18 mph that trade articles report, and slow balls."""
