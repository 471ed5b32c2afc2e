"""A friend's danger gets the advice; our own athlete is not put on hold for it."""

from __future__ import annotations

import pytest
from conversation import after, facts, new_family, phrase, say


@pytest.mark.parametrize(
    ("text", "lang", "tier"),
    [
        ("my friend has elbow pain not me", "en", "stop"),
        ("my friends arm hurts, mine is fine", "en", "stop"),
        ("my teammate's elbow is swollen and deformed, not mine", "en", "emergency"),
        ("my friend cant feel his fingers", "en", "emergency"),
        ("his teammate has elbow pain, my son is fine", "en", "stop"),
        ("mi amigo tiene dolor de codo, yo no", "es", "stop"),
        ("a mi compañero se le durmieron los dedos", "es", "stop_urgent"),
        ("el hijo de mi amiga tiene dolor de codo, el mío no", "es", "stop"),
    ],
)
def test_a_friends_sign_is_advised_on_without_a_hold(text: str, lang: str, tier: str) -> None:
    """The advice of the tier, whom to tell, and no hold, report or question of ours."""
    decision = say(new_family(), text)
    assert (decision.turn.tier, decision.turn.hold) == (tier, False)
    assert phrase(lang, f"safety_{tier}") in decision.turn.reply
    assert phrase(lang, "friend_tell") in decision.turn.reply
    assert not decision.family.holds
    assert not decision.family.reports
    assert decision.turn.asks is None


@pytest.mark.parametrize(
    "text",
    [
        "my friend says my elbow looks swollen",
        "my friend and i both have sore elbows",
        "me and my friend have elbow pain",
        "my friend had elbow pain and now i do too",
        "his friend hit his elbow with a bat and it is swollen",
        "his friend says his elbow hurts",
        "asking for a friend, his elbow hurts",
        "one of my pitchers has elbow pain",
        "my friend pulled my arm and it hurts",
        "mi amigo dice que tengo el codo hinchado",
        "a mi amigo y a mí nos duele el codo",
        "un amigo le pegó en el codo y le duele",
    ],
)
def test_in_doubt_the_arm_is_ours(text: str) -> None:
    """A friend in the message takes no sign away from our own athlete."""
    assert say(new_family(), text).turn.hold


def test_after_a_friends_sign_our_own_question_is_answered() -> None:
    """Nothing of the friend's report clings to the next turn."""
    family = after("my 12yo threw 20 yesterday", "my friend has elbow pain not me")
    assert facts(say(family, "can he pitch friday?").turn.values)[0]["may_pitch"] is True


def test_a_friend_who_may_harm_himself_is_never_passed_over() -> None:
    """Whose life it is about does not matter."""
    turn = say(new_family(), "my best friend wants to hurt himself, not me").turn
    assert phrase("en", "do_self_harm") in turn.reply


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("it clicks but no pain", "en"),
        ("pops but no pain", "en"),
        ("there is a clicking in her elbow but she says it doesnt hurt", "en"),
        ("my elbow cracks all the time, doesnt hurt", "en"),
        ("truena pero no duele", "es"),
        ("chasquea pero no duele", "es"),
        ("cruje el codo sin dolor", "es"),
    ],
)
def test_a_click_without_pain_is_asked_about(text: str, lang: str) -> None:
    """Common practice: a joint that clicks and does not hurt is a question, no hold."""
    turn = say(new_family(), text).turn
    assert (turn.tier, turn.hold) == ("ask", False)
    assert phrase(lang, "safety_ask") in turn.reply


@pytest.mark.parametrize(
    "text", ["he heard a pop at release but no pain", "his elbow clicks and locks up, no pain"]
)
def test_a_single_pop_or_a_joint_that_locks_is_no_mere_click(text: str) -> None:
    """No pain does not lower what is a sign by itself.

    Source: the rules 'pop' and the locking rules of content/symptoms/tiers.yaml.
    """
    assert say(new_family(), text).turn.hold
