"""What a clinician or a picture found is a report: nobody throws on it until cleared."""

from __future__ import annotations

import pytest
from conversation import after, new_family, phrase, say

WANTS_TO_THROW = (
    ("en", "doctor said his growth plate is irritated, can he pitch saturday"),
    ("en", "pt thinks its tendinitis, can he play sunday"),
    ("en", "the physio found mild tendinitis in my daughters shoulder, can she pitch friday"),
    ("es", "le diagnosticaron codo de pequeñas ligas, puede lanzar el sabado"),
)
FOUND = (
    "the doctor told us its growth plate irritation. how long",
    "ortho says little league elbow",
    "mri showed a partial tear",
    "x-ray showed a widened growth plate in his shoulder",
    "she was diagnosed with a stress reaction in her elbow",
    "dr called it a grade 1 sprain",
    "el doctor dijo que tiene irritada la placa de crecimiento",
    "la resonancia salio con desgarre parcial",
)
WELL = (
    "doctor said his growth plate is fine, can he pitch saturday",
    "doctor said no tear and cleared him, can he pitch",
    "the doctor said his growth plates are still open, can he throw curves hes 13",
    "the doctor said curveballs cause tears, is that true",
    "how long does growth plate irritation take to heal",
    "what does an mri show",
    "el doctor dijo que la placa de crecimiento esta bien",
    "el doctor dijo que no tiene fractura y ya le dio de alta",
)


@pytest.mark.parametrize(("lang", "text"), WANTS_TO_THROW)
def test_who_would_throw_on_a_finding_is_held(lang: str, text: str) -> None:
    """A clinician has looked: "none until one has looked" would let the child throw."""
    turn = say(new_family(), text).turn
    assert (turn.tier, turn.hold) == ("stop", True)
    assert phrase(lang, "safety_found") in turn.reply
    assert phrase(lang, "safety_stop") not in turn.reply


@pytest.mark.parametrize("text", FOUND)
def test_a_finding_told_is_asked_about(text: str) -> None:
    """Whether throwing was cleared is asked before anything on throwing is answered."""
    turn = say(new_family(), text).turn
    assert turn.tier == "ask"
    assert "was he seen" in (turn.asks or "")


@pytest.mark.parametrize("then", ["no", "can he pitch saturday?", "not yet"])
def test_not_cleared_after_a_finding_is_a_hold(then: str) -> None:
    """No clearance, or the wish to throw after the finding, holds the athlete."""
    assert say(after("mri showed a partial tear in his elbow"), then).turn.hold


@pytest.mark.parametrize("text", WELL)
def test_nothing_found_is_no_report(text: str) -> None:
    """A finding denied, an arm cleared and a question about findings are no reports."""
    assert say(new_family(), text).turn.tier == "none"
