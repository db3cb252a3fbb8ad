"""Survey: from tape, string and level to a corner that can be trusted.

from kinematics.survey import survey

found = survey(read("my.corner.json"))
found.place("top bearing").xyz, found.place("top bearing").half_axes
found.judged.suspects       # rival readings that may lie, likeliest first
found.project               # the corner as measured, ready to be studied
"""

from __future__ import annotations

from kinematics.survey.adjust import Adjusted, SurveyError, adjust
from kinematics.survey.survey import Place, Surveyed, survey

__all__ = ["Adjusted", "Place", "SurveyError", "Surveyed", "adjust", "survey"]
