"""Joining a family that is there already: by a code, or once a guardian has joined."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from conversation import NOW
from joining_support import GUARDIAN, begun, joined, tells

from armbot.engine import codes
from armbot.engine.admission import may_talk
from armbot.engine.joining_steps import CONSENT_VERSION
from armbot.model.family import Consent, Family, Role


def invitation(role: Role, athlete: str = "", family: Family | None = None) -> Family:
    """A family with one open code, "QUIET-FOX"."""
    until = NOW + timedelta(days=2)
    return codes.make(family or joined(), role, athlete, "QUIET-FOX", until)


@pytest.mark.parametrize(("lang", "yes"), [("en", "yes"), ("es", "sí")])
def test_a_second_guardian_joins_by_code(lang: str, yes: str) -> None:
    """Consent is all that is asked; the code is used up, and the family's facts stay."""
    family = invitation(Role.GUARDIAN)
    code = codes.use(family, "quiet fox", NOW)
    chat = begun(family, lang, code, chat=2)
    assert tells(chat.said, lang, "join_consent")
    assert chat.family.codes == ()
    assert not may_talk(chat.family, chat.member, NOW)
    chat.tell(yes)
    assert (chat.member.role, chat.member.consent) == (
        Role.GUARDIAN, Consent(CONSENT_VERSION, NOW),
    )  # fmt: skip
    assert chat.family.athletes == family.athletes
    assert chat.family.lang == family.lang
    assert "Bear" in chat.said.text


@pytest.mark.parametrize(("lang", "yes"), [("en", "ok"), ("es", "acepto")])
def test_a_young_athletes_phone_joins_by_code(lang: str, yes: str) -> None:
    """With a guardian in the family an eleven-year-old's own chat works."""
    family = invitation(Role.ATHLETE, "a1")
    chat = begun(family, lang, codes.use(family, "QUIETFOX", NOW), chat=3).tell(yes)
    assert (chat.member.role, chat.member.athlete) == (Role.ATHLETE, "a1")
    assert chat.member.form is None
    assert may_talk(chat.family, chat.member, NOW)
    alone = replace(chat.family, members=(chat.member,))
    assert not may_talk(alone, chat.member, NOW)


def test_a_waiting_child_goes_on_with_a_code() -> None:
    """The wait ends where a guardian's code arrives."""
    chat = begun().tell("form:consent:athlete", "march 2015", "yes")
    family = replace(invitation(Role.ATHLETE, "a1"), members=(GUARDIAN, chat.member))
    chat = begun(family, code=codes.use(family, "QUIETFOX", NOW)).tell("yes")
    assert may_talk(chat.family, chat.member, NOW)


def test_a_waiting_child_goes_on_when_a_guardian_has_joined() -> None:
    """The questions begin anew, and the nickname known already names the same athlete."""
    chat = begun().tell("form:consent:athlete", "march 2015", "yes")
    chat.said = replace(chat.said, family=joined(GUARDIAN, chat.member))
    chat.tell("hi", "yes", "june 2014", "bear")
    assert chat.form.answer("athlete") == "a1"
    chat.tell("left", "baseball", "none", "denver", "none")
    assert [a.name for a in chat.family.athletes] == ["Bear"]
    assert chat.member.athlete == "a1"


def test_who_declined_an_invitation_gets_no_other_role_by_it() -> None:
    """A code for the athlete's phone never makes a guardian."""
    family = invitation(Role.ATHLETE, "a1")
    chat = begun(family, code=codes.use(family, "QUIETFOX", NOW)).tell("no").tap("form:start:join")
    assert "form:consent:guardian" not in chat.acts
    chat.tell("form:consent:guardian", "yes")
    assert (chat.member.role, chat.member.athlete) == (Role.ATHLETE, "a1")


def test_a_code_for_an_athlete_not_named_asks_who_it_is() -> None:
    """So that the phone does not speak of brothers and sisters."""
    family = invitation(Role.ATHLETE)
    chat = begun(family, code=codes.use(family, "QUIETFOX", NOW), chat=3).tell("yes", "june 2014")
    chat.tell("Bear")
    assert chat.form.answer("athlete") == "a1"
