"""Danger signs: what is reported, what is denied, whose arm it is, and when it was."""

from __future__ import annotations

import pytest
from conversation import grammar
from reading_support import reported, signs
from strategies import SIGNS, Sign

from armbot.language.checking import check_signs
from armbot.model.reports import Tier

DENIED = {
    "en": (
        "no pain", "no pain at all", "no elbow pain", "he has no pain or swelling",
        "no pain, swelling or tingling", "his elbow doesn't hurt", "elbow is not sore",
        "he isn't sore", "nothing hurts", "without any pain", "never had elbow pain",
        "denies any numbness", "pain free", "pain-free", "no soreness, no tingling, no pop",
        "arm does not hurt", "pain? no", "neither pain nor swelling", "zero pain",
        "he says it doesn't hurt", "didn't feel a pop",
    ),
    "es": (
        "sin dolor", "no le duele", "no le duele nada", "no tiene dolor ni hinchazón",
        "el codo no le duele", "nada de dolor", "no siente hormigueo", "sin hinchazón",
        "no está hinchado", "nunca le ha dolido el codo", "¿dolor? no", "no hay moretón",
    ),
}  # fmt: skip


@pytest.mark.parametrize("text", [text for texts in DENIED.values() for text in texts])
def test_a_denied_sign_is_not_reported(text: str) -> None:
    """A "no" within reach takes the sign away, in lists and after the word too: no alarm."""
    assert signs(text).denied, signs(text)
    assert check_signs(text, grammar()).tier is Tier.NONE


STILL_THERE = {
    "en": (
        "no pain until the fifth inning, then his elbow hurt", "not only pain but swelling",
        "no pain yesterday but today his elbow hurts", "no swelling but his elbow hurts",
        "he can't throw without pain in his elbow", "the elbow pain won't go away",
        "no doubt his elbow hurts", "he can't stop rubbing his elbow, it hurts",
        "not sure why his elbow hurts", "no idea why but his shoulder hurts",
        "elbow hurts. no swelling", "no fever, elbow hurts", "his elbow hurts, no joke",
        "no longer pain free, elbow hurts", "he says no but his elbow hurts",
        "it doesn't hurt to bat but his elbow hurts to throw", "no rest helps, elbow still hurts",
        "no pitches today because his elbow hurts", "why does his elbow hurt? no contact",
        "he never complains but his elbow hurts", "no he says his elbow hurts",
        "does not hurt at rest, hurts when he throws", "not better, elbow still hurts",
        "no more pitching, his elbow hurts", "no. his elbow hurts", "no, his elbow hurts",
        "nope still hurts, the elbow", "no practice no games, elbow pain",
    ),
    "es": (
        "no le dolía ayer pero hoy le duele el codo", "no se le quita el dolor de codo",
        "no puede lanzar sin dolor en el codo", "no sé por qué le duele el codo",
        "no está hinchado pero le duele el codo", "no solo le duele el codo, también el hombro",
        "le duele el codo, no es broma", "no, le duele el codo", "no. le duele el codo",
        "no lanzó hoy porque le duele el codo", "el codo no deja de dolerle",
        "no descansa y le duele el codo", "no hay duda, le duele el codo",
    ),
}  # fmt: skip


@pytest.mark.parametrize("text", [text for texts in STILL_THERE.values() for text in texts])
def test_a_no_about_something_else_silences_nothing(text: str) -> None:
    """A "no" that does not deny the sign leaves it reported, at stop or above."""
    assert reported(text), signs(text)
    assert check_signs(text, grammar()).tier >= Tier.STOP


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: sign.id)
def test_the_signs_of_the_pool_are_all_read(sign: Sign) -> None:
    """Each sign of the pool is reported, at its tier or above, in both languages."""
    for lang in ("en", "es"):
        assert reported(sign.said(lang)), (lang, sign.said(lang))
        assert check_signs(sign.said(lang), grammar()).tier >= sign.tier, (lang, sign.said(lang))


ELSEWHERE = (
    "my dad tore his rotator cuff years ago", "the big leaguer on tv has elbow pain",
    "what causes elbow pain in pitchers?", "is elbow pain common in young pitchers?",
    "my own shoulder hurts, i am the mom",
)  # fmt: skip


@pytest.mark.parametrize("text", ELSEWHERE)
def test_somebody_elses_arm_is_not_the_athletes_report(text: str) -> None:
    """A professional's, a parent's own, or throwers at large: no hold on the athlete."""
    assert check_signs(text, grammar()).tier < Tier.STOP


OURS = (
    "my mom says my elbow hurts", "coach thinks his elbow hurts", "his dad says his elbow hurts",
    "my dad tore his cuff and now my son's elbow hurts too",
    "pitchers get elbow pain, is that why his elbow hurts?",
    "el papá dice que le duele el codo", "mi mamá dice que me duele mucho el codo",
    "my nephew's elbow hurts when he throws", "a kid on the team has elbow pain when he throws",
    "i know it's common, but his elbow hurts",
)  # fmt: skip


@pytest.mark.parametrize("text", OURS)
def test_a_child_told_of_by_somebody_is_ours(text: str) -> None:
    """Whoever tells it, a real child's sign counts, a team-mate's too."""
    assert check_signs(text, grammar()).tier >= Tier.STOP


OVER = (
    "he had elbow pain last year, the doctor cleared him, no pain since",
    "le dolió el codo hace un año, el doctor lo dio de alta, ya no le duele",
)


@pytest.mark.parametrize("text", OVER)
def test_a_sign_over_and_cleared_is_no_alarm(text: str) -> None:
    """Past, resolved and cleared: nothing to stop."""
    assert check_signs(text, grammar()).tier < Tier.STOP


NOT_OVER = (
    "he had elbow pain last year, was cleared, and now it's back",
    "doctor cleared him in march. his elbow hurts again",
    "two years ago he hurt his shoulder and was cleared. his fingers are tingling",
    "my shoulder clicks, always has. he felt a pop in his elbow",
    "released to full activity on monday. his shoulder hurts",
    "hace 2 años se lastimó el hombro y le dieron el alta. le hormiguean los dedos",
    "le dieron el alta en marzo. otra vez le duele el codo",
    "he was cleared last week but his elbow is swollen",
)


@pytest.mark.parametrize("text", NOT_OVER)
def test_a_clearance_of_old_trouble_does_not_cover_a_new_sign(text: str) -> None:
    """What was cleared once says nothing about what is reported now."""
    assert check_signs(text, grammar()).tier >= Tier.STOP


IDIOMS = (
    "such a pain to schedule games", "he popped up to short", "he is locked in today",
    "pop warner starts monday", "dead ball", "fiebre de béisbol", "tronó el bate",
    "he caught fire", "nerves got to him", "breaking ball looked good",
    "killing it on the mound", "no pain no gain shirt", "bullpen was on fire",
)  # fmt: skip


@pytest.mark.parametrize("text", IDIOMS)
def test_a_figure_of_speech_is_no_alarm(text: str) -> None:
    """Game terms and sayings stop nobody."""
    assert check_signs(text, grammar()).tier < Tier.STOP


@pytest.mark.parametrize("idiom", IDIOMS)
def test_a_figure_of_speech_hides_no_sign(idiom: str) -> None:
    """Beside any of them a real sign is still heard."""
    for sign in SIGNS:
        assert check_signs(f"{idiom}. {sign.en}", grammar()).tier >= sign.tier, (idiom, sign.en)


@pytest.mark.parametrize("text", ["his knee hurts", "his back hurts", "le duele la rodilla"])
def test_pain_elsewhere_is_another_body_part(text: str) -> None:
    """A knee or a back is not the arm, and is not passed over either."""
    found = check_signs(text, grammar())
    assert found.tier is Tier.NONE
    assert found.other_body


@pytest.mark.parametrize(
    "text", ["his knee hurts and his elbow hurts", "knee is fine, elbow hurts when he throws"]
)
def test_pain_elsewhere_hides_no_arm(text: str) -> None:
    """Another body part in the message takes nothing away from the arm."""
    assert check_signs(text, grammar()).tier >= Tier.STOP
