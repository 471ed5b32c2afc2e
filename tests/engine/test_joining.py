"""Joining as families live it: whole conversations, and what is on record afterwards."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256

import pytest
from conversation import NOW, new_family, say
from joining_support import BEAR, CHAT, GUARDIAN, LIBRARY, Chat, begun, joined, tells

from armbot.engine import joining
from armbot.engine.admission import may_talk
from armbot.engine.joining_steps import CONSENT_KEYS, CONSENT_VERSION
from armbot.model.family import Athlete, Consent, Family, Hold, Member, Quiet, Role
from armbot.model.people import BirthMonth
from armbot.model.reports import Tier


def test_a_parent_joins_by_words_in_english() -> None:
    """Typed answers alone: consent, nickname, birth, arm and sport, league, place, hours."""
    chat = begun()
    assert tells(chat.said, "en", "join_watch")
    assert tells(chat.said, "en", "join_private")
    chat.tell("Yes, I agree. I'm his mom", "Bear", "June 2014", "lefty, baseball")
    chat.tell("Little League, majors", "Austin, Texas", "10pm to 7am")
    family = chat.family
    assert family.athletes == (
        Athlete(
            "a1", "Bear", BirthMonth(2014, 6), arm="left", rules=("little_league",),
            division="Majors",
        ),
    )  # fmt: skip
    assert (family.zone, family.quiet, family.lang) == ("America/Chicago", Quiet(22, 7), "en")
    assert chat.member.role is Role.GUARDIAN
    assert chat.member.consent == Consent(CONSENT_VERSION, NOW)
    assert chat.member.form is None
    assert "Bear threw" in chat.said.text


def test_a_parent_joins_by_words_in_spanish() -> None:
    """The same in Spanish, on a device that was set to English."""
    chat = begun(lang="en-US").tell("Sí, acepto. Soy la mamá", "Osita", "junio de 2014")
    chat.tell("derecha, softbol", "Ciudad de México", "de 9 de la noche a 8 de la mañana")
    athlete = chat.family.athletes[0]
    assert (athlete.name, athlete.arm, athlete.sport) == ("Osita", "right", "softball")
    assert (chat.family.zone, chat.family.quiet) == ("America/Mexico_City", Quiet(21, 8))
    assert (chat.member.lang, chat.family.lang) == ("es", "es")
    assert tells(chat.said, "es", "join_done")


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_parent_with_one_child_joins_in_under_ten_taps(lang: str) -> None:
    """Opening the chat, and every answer by a button but the nickname: nine in all."""
    chat, count = begun(lang=lang), 1
    for act in (
        *("form:consent:guardian", "Bear", "form:birth_year:2014", "form:birth_month:6"),
        *("form:arm:left-baseball", "form:league:little_league", "form:zone:America/Chicago"),
        "form:quiet:21-8",
    ):
        assert chat.member.form is not None, "the form ended before the last answer"
        chat = chat.tap(act) if act.startswith("form:") else chat.tell(act)
        count += 1
    assert chat.member.form is None
    assert chat.family.athletes[0].birth == BirthMonth(2014, 6)
    assert count < 10


def test_a_nurse_joins_with_her_slips_of_the_pen() -> None:
    """Hurried typing on a phone between two patients is understood, or asked again."""
    chat = begun().tell("whats this", "ok im the mohter")
    assert chat.form.step == "name"
    chat.tell("his name is Tank", "agust 13", "rihgt handed bsaeball", "litle leage 12u")
    chat.tell("chigaco", "9pm-8 am")
    athlete = chat.family.athletes[0]
    assert (athlete.name, athlete.birth) == ("Tank", BirthMonth(2013, 8))
    assert (athlete.arm, athlete.sport) == ("right", "baseball")
    assert (athlete.rules, athlete.division) == (("little_league",), "12U")
    assert (chat.family.zone, chat.family.quiet) == ("America/Chicago", Quiet(21, 8))


@pytest.mark.parametrize(
    ("lang", "first", "birth", "sure"),
    [("en", "I agree, I am the athlete", "march 2014", "yes"),
     ("es", "acepto, soy el atleta", "marzo de 2014", "sí")],
)  # fmt: skip
def test_a_twelve_year_old_alone_waits_for_a_grown_up(
    lang: str, first: str, birth: str, sure: str
) -> None:
    """Told whom to ask and what to do if something hurts; nothing that was told is kept."""
    chat = begun(lang=lang).tell(first, birth)
    assert chat.form.step == "sure"
    chat.tell(sure)
    for text in ("hello?", "form:name:Zed", "back", "stop", "i am 13", "form:consent:guardian"):
        assert tells(chat.said, lang, "grown_up_first")
        assert tells(chat.said, lang, "grown_up_hurt")
        assert "2014" not in repr(chat.family)
        assert chat.family.athletes == ()
        assert chat.member.consent is None
        assert not may_talk(chat.family, chat.member, NOW)
        chat.tell(text)
    again = joining.begin(chat.family, CHAT, lang, NOW, LIBRARY, None)
    assert tells(again, lang, "grown_up_first")


def test_a_mistyped_birth_is_asked_about_once_before_the_wait() -> None:
    """A slip in the year must not lock out a fifteen-year-old."""
    chat = begun().tell("form:consent:athlete", "march 2014").tap("form:sure:change")
    chat.tell("march 2011", "Max")
    assert chat.form.step == "arm"


def test_a_parent_who_pressed_athlete_can_say_so() -> None:
    """The commonest slip: a parent gives the child's birth under "athlete"."""
    chat = begun().tell("form:consent:athlete", "march 2014").tap("form:sure:parent")
    assert chat.form.step == "name"
    chat.tell("Cub", "right baseball", "none", "Miami", "none")
    assert chat.member.role is Role.GUARDIAN
    assert chat.family.athletes[0].birth == BirthMonth(2014, 3)


def test_the_birthday_month_counts_as_the_younger_age() -> None:
    """Born in June 2013, in June 2026: still twelve, the careful way."""
    assert begun().tell("form:consent:athlete", "june 2013").form.step == "sure"
    assert begun().tell("form:consent:athlete", "may 2013").form.step == "name"


@pytest.mark.parametrize(
    ("lang", "texts"),
    [
        ("en", ("yes, i am the athlete", "6/2010", "Max", "righty", "baseball", "none", "utc-7",
                "form:zone:America/Phoenix", "11 pm to 6 am")),
        ("es", ("sí acepto, soy el lanzador", "6/2010", "Max", "derecho", "béisbol", "ninguna",
                "phoenix", "de 11 pm a 6 am")),
    ],
)  # fmt: skip
def test_a_fifteen_year_old_joins_alone(lang: str, texts: tuple[str, ...]) -> None:
    """From 13 on nobody else is needed; the chat is the athlete's own and says "you"."""
    chat = begun(lang=lang).tell(*texts)
    athlete = chat.family.athletes[0]
    assert (chat.member.role, chat.member.athlete) == (Role.ATHLETE, athlete.id)
    assert (athlete.name, athlete.birth) == ("Max", BirthMonth(2010, 6))
    assert (chat.family.zone, chat.family.quiet) == ("America/Phoenix", Quiet(23, 6))
    assert may_talk(chat.family, chat.member, NOW)
    assert tells(chat.said, lang, "join_pain_you")


@pytest.mark.parametrize(
    ("lang", "no"), [("en", "no"), ("es", "no gracias"), ("en", "form:consent:no")]
)
def test_without_consent_nothing_is_kept(lang: str, no: str) -> None:
    """Only that the chat exists; what to do when an arm hurts is said all the same."""
    chat = begun(lang=lang).tell(no)
    assert tells(chat.said, lang, "declined")
    assert "911" in chat.said.text
    assert (chat.member.consent, chat.member.role, chat.member.form) == (None, Role.UNKNOWN, None)
    chat.tap("form:start:join")
    assert tells(chat.said, lang, "join_consent")


def test_the_consent_text_is_of_its_version() -> None:
    """An edit of what is agreed to, in either language, needs a new version number."""
    phrases = LIBRARY.words.phrases
    text = "\n".join(phrases[lang][key] for lang in sorted(phrases) for key in CONSENT_KEYS)
    assert (CONSENT_VERSION, sha256(text.encode()).hexdigest()[:16]) == ("1", CONSENT_DIGEST)


CONSENT_DIGEST = "b2827a87debf08db"


def test_several_athletes_are_added_one_by_one() -> None:
    """One more child needs no new consent, zone or hours; ids are never used twice."""
    chat = Chat(begun(joined()).said, 1).set("set:add")
    chat.tell("Bear")
    assert tells(chat.said, "en", "hint_name_taken", other="Bear")
    chat.tell("Moose", "may 2012", "right softball")
    assert [a.name for a in chat.family.athletes] == ["Bear", "Moose"]
    assert len({a.id for a in chat.family.athletes}) == 2
    assert chat.member.form is None


def test_leaving_keeps_what_was_told_and_comes_back_to_it() -> None:
    """A "not now" in the middle: the record has it, and the next start asks only the rest."""
    chat = begun().tell("form:consent:guardian", "Bear", "June 2014", "not now")
    assert chat.member.form is None
    assert chat.family.athletes == (Athlete("a1", "Bear", BirthMonth(2014, 6)),)
    chat.tap("form:start:join")
    assert chat.form.step == "arm"
    chat.tell("left", "baseball", "none", "boise", "none")
    assert [(a.id, a.name, a.arm) for a in chat.family.athletes] == [("a1", "Bear", "left")]


def test_leaving_at_the_last_questions_says_what_counts_until_then() -> None:
    """The athlete is whole, so no other is asked for; zone and hours wait in the settings."""
    chat = begun().tell("form:consent:guardian", "Bear", "June 2014", "left baseball", "none")
    chat.tell("not now")
    assert tells(chat.said, "en", "form_left", zone="Eastern (New York)")
    assert chat.acts == ["set:show"]
    chat.tell("form:start:join")
    assert tells(chat.said, "en", "welcome_back")
    assert chat.member.form is None


@pytest.mark.parametrize(("device", "lang"), [("es-419", "es"), ("pt-BR", "en"), ("", "en")])
def test_a_member_known_by_the_devices_language_is_spoken_to_in_ours(
    device: str, lang: str
) -> None:
    """Whoever keeps the member may not know which languages there are."""
    family = Family("f", members=(Member(CHAT, lang=device),))
    chat = begun(family, device)
    assert chat.member.lang == lang
    assert tells(chat.said, lang, "join_consent")


def test_whoever_has_joined_is_greeted_and_not_asked_again() -> None:
    """A second /start changes nothing, whatever else was open in the chat."""
    chat = Chat(begun(joined()).said, 1).set("set:zone")
    said = joining.begin(chat.family, 1, "en", NOW, LIBRARY, None)
    assert tells(said, "en", "welcome_back")
    member = said.family.member(1)
    assert member is not None
    assert (member.consent, member.form) == (GUARDIAN.consent, None)


def test_a_second_start_in_the_middle_asks_the_same_question_again() -> None:
    """Nothing told so far is lost."""
    chat = begun().tell("form:consent:guardian", "Bear")
    said = joining.begin(chat.family, CHAT, "en", NOW, LIBRARY, None)
    assert said.family == chat.family
    assert tells(said, "en", "join_birth_year", name="Bear")


def test_a_child_reported_before_joining_is_the_one_named_first() -> None:
    """A hold from before the first nickname goes with the child, not with nobody."""
    hurt = say(new_family(), "my 12 year old threw 40 today and his elbow hurts").family
    assert hurt.holds
    chat = begun(hurt).tell("form:consent:guardian", "Bear", "June 2014", "left baseball")
    chat.tell("none", "chicago", "none")
    assert [a.name for a in chat.family.athletes] == ["Bear"]
    assert chat.family.hold_of(chat.family.athletes[0].id) is not None
    assert tells(chat.said, "en", "hold_on", name="Bear")
    assert "threw" not in chat.said.text


def test_on_hold_the_end_of_joining_tells_nobody_to_throw() -> None:
    """No example of a throw, but that the hold stands; also for a hold on nobody named."""
    held = replace(joined(athletes=()), holds=(Hold("", NOW, Tier.STOP),), members=())
    chat = begun(held, lang="es").tell("form:consent:guardian", "Osa", "mayo 2014", "zurda softbol")
    chat.tell("miami", "ninguna")
    assert tells(chat.said, "es", "hold_on", name="Osa")
    assert "lanzó" not in chat.said.text


def test_nothing_of_bear_is_lost_when_a_form_of_another_ends() -> None:
    """Another athlete's form leaves the first one as it was."""
    chat = Chat(begun(joined()).said, 1).set("set:add").tell("Moose", "2012", "May", "stop")
    assert chat.family.athletes[0] == BEAR
    assert chat.family.athletes[1].birth == BirthMonth(2012, 5)
