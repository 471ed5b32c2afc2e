"""Plain reports, body part by body part: none may be silenced by a figure of speech.

The word lists alone must hear them, without the second reader: "pain in the elbow" once fell
to a row meant for "a pain in the schedule". Tiers: the labelling rules of tests/data/README.md.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from conversation import grammar

from armbot.language.checking import check_signs
from armbot.model.reports import Tier

if TYPE_CHECKING:
    from collections.abc import Iterator

PARTS = (
    "elbow", "shoulder", "forearm", "arm", "upper arm", "wrist", "hand", "inner elbow",
    "right elbow", "left shoulder", "throwing arm", "pitching elbow", "biceps", "triceps",
    "rotator cuff", "fingers", "thumb",
)  # fmt: skip
PARTES = ("el codo", "el hombro", "el antebrazo", "el brazo", "la muñeca", "la mano")
WHOSE = ("his", "her", "my")
WHO = ("he has", "she has", "i have", "my son has", "our pitcher has", "my daughter has")
STOP = (
    "{whose} {part} hurts",
    "{whose} {part} hurts when throwing",
    "{whose} {part} is hurting after the game",
    "pain in {whose} {part}",
    "there is a sharp pain in {whose} {part} when pitching",
    "{whose} {part} has been sore for three days",
    "{whose} {part} has been aching since saturday",
    "{who} pain in the {part}",
    "{who} a lot of pain in the {part} when throwing",
    "{who} {part} pain",
    "he complained of {part} pain after practice",
    "he said the {part} hurts",
    "she hurt the {part} pitching",
    "can he pitch saturday? his {part} hurts a little",
    "threw 45, 12 years old, {part} hurts now",
    "is it normal that his {part} hurts after every game",
    "my kid pitched 60 and now has pain in the {part} and cant throw",
)
STOP_URGENT = (
    "{whose} {part} went numb",
    "numbness in {whose} {part} after throwing",
    "{whose} {part} is swollen",
    "swelling in {whose} {part}",
    "felt a pop in {whose} {part}",
    "{whose} {part} popped on the last pitch",
    "tingling in {whose} {part}",
    "{who} a swollen {part}",
)
PARAR = (
    "le duele {parte}",
    "me duele mucho {parte} al lanzar",
    "le está doliendo {parte}",
    "tiene dolor en {parte}",
    "mi hijo tiene dolor en {parte} cuando tira",
    "trae molestia en {parte} desde el sábado",
    "lanzó 45, tiene 12 y le duele {parte}",
    "¿puede lanzar el sábado? le duele un poco {parte}",
    "sintió un pinchazo en {parte} al tirar",
)
PARAR_YA = (
    "se le hinchó {parte}",
    "se me durmió {parte} al tirar",
    "le tronó {parte} en un lanzamiento",
    "le hormiguea {parte}",
    "tiene hormigueo en {parte}",
    "sintió un tronido en {parte}",
)
AROUND = ("{said}", "we lost but {said}", "{said} lol", "hey coach, {said}", "{said}, game at 6")
"""What stands around a report in a chat, and changes nothing."""


def said(template: str) -> Iterator[str]:
    """The template for every part, owner and person it names."""
    for part in PARTS if "{part}" in template else ("",):
        for parte in PARTES if "{parte}" in template else ("",):
            for whose in WHOSE if "{whose}" in template else ("",):
                for who in WHO if "{who}" in template else ("",):
                    yield template.format(part=part, parte=parte, whose=whose, who=who)


def below(template: str, least: Tier) -> list[tuple[str, str]]:
    """The sentences of a template that come out below a tier."""
    found = []
    for place, report in enumerate(said(template)):
        text = AROUND[place % len(AROUND)].format(said=report)
        tier = check_signs(text, grammar(), likeness=False).tier
        if tier < least:
            found.append((tier.word, text))
    return found


@pytest.mark.parametrize("template", [*STOP, *PARAR])
def test_a_plain_report_of_pain_stops(template: str) -> None:
    """Whatever the part, the owner and the words around it."""
    assert below(template, Tier.STOP) == []


@pytest.mark.parametrize("template", [*STOP_URGENT, *PARAR_YA])
def test_a_plain_report_of_an_urgent_sign_is_urgent(template: str) -> None:
    """Numb, swollen, popped: seen within a day or two."""
    assert below(template, Tier.STOP_URGENT) == []


@pytest.mark.parametrize(
    ("text", "least"),
    [
        ("pain to the touch on his elbow", Tier.STOP),
        ("his elbow is painful to straighten", Tier.STOP),
        ("fingers numb to the touch", Tier.STOP_URGENT),
        ("pain from the elbow down", Tier.STOP),
        ("elbow locked in place", Tier.STOP_URGENT),
        ("shoulder popped out to the front", Tier.STOP_URGENT),
        ("both arms went cold and blue", Tier.EMERGENCY),
        ("velocity has dropped off three starts now", Tier.STOP),
        ("can't throw without hurting his elbow", Tier.STOP),
        ("i have a lot of pain when i pitch", Tier.STOP),
        ("hurt his arm wrestling with his brother", Tier.STOP),
        ("pitched against their ace and his elbow hurts", Tier.STOP),
        ("no bruise, hurts to throw", Tier.STOP),
        ("their pitcher was wild and hit his elbow, it hurts", Tier.STOP),
        ("hit his funny bone an hour ago and the fingers are still numb", Tier.STOP_URGENT),
        ("no puede estirar el codo y no se le quita", Tier.STOP_URGENT),
        ("siempre ha sido fuerte y le tronó el codo", Tier.STOP_URGENT),
        ("me duele el codo de tanto tirar", Tier.STOP),
        ("no le duele si no lo mueve, el codo", Tier.STOP),
        ("casi no le duele el codo al lanzar", Tier.STOP),
        ("me quiero cortar", Tier.EMERGENCY),
        ("se le quedó dormida la mano al lanzar", Tier.STOP_URGENT),
    ],
)
def test_a_report_beside_a_figure_of_speech_is_heard(text: str, least: Tier) -> None:
    """Each was once silenced or lowered by a row for something harmless."""
    assert check_signs(text, grammar(), likeness=False).tier >= least


@pytest.mark.parametrize(
    "text",
    [
        "this schedule is a pain to track",
        "pain in the neck to find parking there",
        "he popped up to second, then struck out",
        "locked in today, 45 pitches",
        "it doesn't hurt to ask, how many rest days after 40 at 12",
        "our bats went cold, 38 pitches at 11",
        "tronó el bate en la tercera, 40 lanzamientos, 12 años",
        "fiebre de béisbol en la casa, ¿cuántos lanzamientos a los 10?",
    ],
)
def test_a_figure_of_speech_stays_one(text: str) -> None:
    """Narrow as the rows are, the sayings themselves raise no stop."""
    assert check_signs(text, grammar(), likeness=False).tier < Tier.STOP
