"""How hard a text is to read, by the measures in use for health texts.

English: the Flesch-Kincaid grade (Kincaid and others 1975), the US school grade a text
asks for; lower is easier. Spanish: the reading ease of Fernandez Huerta (1959), 0 to
100; higher is easier. Both are computed by textstat.
"""

from __future__ import annotations

import warnings
from functools import lru_cache

with warnings.catch_warnings():
    # textstat 0.7.4 imports pkg_resources, which newer setuptools call deprecated.
    warnings.simplefilter("ignore")
    import textstat

_MEASURES = {"en": textstat.flesch_kincaid_grade, "es": textstat.fernandez_huerta}
HARDER_IS_MORE = {"en": True, "es": False}
"""Whether a larger figure means harder reading, by language."""
NAMES = {"en": "Flesch-Kincaid grade", "es": "Fernandez Huerta ease"}


@lru_cache(maxsize=4096)
def reading_level(text: str, language: str) -> float:
    """The measure of ``language`` for a text, unrounded.

    Raises KeyError for a language without a measure.
    """
    measure = _MEASURES[language]
    # textstat keeps its settings for the whole process, so they are set before each use.
    # Its own rounding applies to the averages inside the formula as well, which shifts a
    # short text by up to half a grade.
    textstat.set_rounding(rounding=False)
    textstat.set_lang(language)
    return float(measure(text))


def too_hard(text: str, language: str, limit: float) -> bool:
    """Whether a text reads harder than ``limit`` (a grade for "en", an ease for "es")."""
    level = reading_level(text, language)
    return level > limit if HARDER_IS_MORE[language] else level < limit
