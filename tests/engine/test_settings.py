"""Settings: shown, changed by buttons and by words, and by whom."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from conversation import NOW, dates_in
from joining_support import BEAR, GUARDIAN, LIBRARY, Chat, joined, opened, sound, tells, zones

from armbot.engine import settings
from armbot.engine.settings_people import without_athlete
from armbot.model.family import (
    Athlete,
    Clearance,
    Consent,
    Family,
    Hold,
    Member,
    OffSeason,
    Planned,
    Quiet,
    Report,
    Role,
    with_outing,
)
from armbot.model.outings import Outing
from armbot.model.people import BirthMonth
from armbot.model.reminders import ReminderKind
from armbot.model.reports import Tier

TEEN = Member(2, Role.ATHLETE, "a1", consent=Consent("1", NOW))
MOOSE = Athlete("a2", "Moose", BirthMonth(2012, 5), sport="softball")
SATURDAY = date(2026, 6, 13)


def chat_of(family: Family, number: int) -> Chat:
    """A chat of a family, with nothing said yet."""
    return Chat(replace(opened(family).said, family=family), number)


@pytest.mark.parametrize("lang", ["en", "es"])
def test_the_settings_show_what_is_set_with_a_button_for_each(lang: str) -> None:
    """Athletes, time zone, quiet hours, reminders that are off."""
    chat = opened(replace(joined(), muted=("arm",)), lang).set("set:show")
    arm = LIBRARY.reminders.kinds[ReminderKind.ARM].names[lang]
    assert all(part in chat.said.text for part in ("Bear", "Little League", arm))
    assert tells(chat.said, lang, "set_how")
    for act in ("set:zone", "set:quiet", "set:remind", "set:people", "set:add"):
        assert act in chat.acts


def test_every_button_of_the_settings_does_something() -> None:
    """Each one shown leads on, two presses deep, without a fault."""
    chat = opened(joined(athletes=(BEAR, MOOSE))).set("set:show")
    acts, seen = list(chat.acts), set()
    for _ in range(2):
        for act in acts:
            if act.startswith("set:"):
                step = opened(joined(athletes=(BEAR, MOOSE))).set(act)
                seen |= set(step.acts)
        acts = sorted(seen)
    assert any(act.startswith("set:leagues:") for act in seen)
    assert "set:leagues:a2" not in seen


@pytest.mark.parametrize(
    ("lang", "act", "key"), [("es", "set:lang:en", "en"), ("en", "set:lang:es", "es")]
)
def test_a_language_is_each_members_own(lang: str, act: str, key: str) -> None:
    """The other guardian's messages, and the family's, stay as they are."""
    other = replace(GUARDIAN, chat=5, lang=lang)
    family = replace(joined(replace(GUARDIAN, lang=lang), other), lang=lang)
    chat = chat_of(family, 1).set(act)
    assert tells(chat.said, key, "set_lang_done")
    assert (chat.member.lang, chat.member.lang_chosen) == (key, True)
    assert chat.family.members[1] == other
    assert chat.family.lang == lang
    alone = chat_of(replace(joined(replace(GUARDIAN, lang=lang)), lang=lang), 1).set(act)
    assert alone.family.lang == key


@pytest.mark.parametrize(("lang", "place"), [("en", "denver"), ("es", "montaña")])
def test_the_time_zone_is_changed_by_words_and_by_button(lang: str, place: str) -> None:
    """The same question as in joining; a forged zone changes nothing."""
    chat = opened(joined(), lang).set("set:zone").tell(place)
    assert chat.family.zone == "America/Denver"
    assert chat.member.form is None
    assert opened(joined(), lang).set("set:zone:Europe/Paris").family.zone == "Europe/Paris"
    assert opened(joined(), lang).set("set:zone:Mars/Base").family.zone == joined().zone


@pytest.mark.parametrize(("lang", "hours"), [("en", "22 to 6"), ("es", "de 10 pm a 6 am")])
def test_quiet_hours_are_changed_by_words_and_by_button(lang: str, hours: str) -> None:
    """The old ones are gone; none at all is a setting too."""
    assert opened(joined(), lang).set("set:quiet").tell(hours).family.quiet == Quiet(22, 6)
    quiet = opened(joined(), lang).set("set:quiet:none").family.quiet
    assert not any(quiet.covers(hour) for hour in range(24))
    for forged in ("99-1", "5-5", "x", ""):
        assert opened(joined(), lang).set(f"set:quiet:{forged}").family.quiet == Quiet()


@pytest.mark.parametrize("kind", list(ReminderKind))
def test_each_kind_of_reminder_turns_off_and_on(kind: ReminderKind) -> None:
    """By itself; pressing twice changes nothing more."""
    chat = opened(joined()).set(f"set:remind:{kind}:off").set(f"set:remind:{kind}:off")
    assert chat.family.muted == (kind.value,)
    assert f"set:remind:{kind}:on" in chat.acts
    assert chat.set(f"set:remind:{kind}:on").family.muted == ()


def test_all_reminders_turn_off_and_on_at_once() -> None:
    """And an unknown kind or way turns nothing."""
    chat = opened(replace(joined(), muted=("rest",))).set("set:remind:all:off")
    assert sorted(chat.family.muted) == sorted(ReminderKind)
    assert "set:remind:all:on" in chat.acts
    assert chat.set("set:remind:all:on").family.muted == ()
    for forged in (
        "set:remind:moon:off",
        "set:remind:arm:maybe",
        "set:remind:arm",
        "set:remind:::",
    ):
        assert opened(joined()).set(forged).family.muted == ()


@pytest.mark.parametrize(("lang", "names"), [("en", "pony and usssa"), ("es", "pony y usssa")])
def test_leagues_are_named_anew(lang: str, names: str) -> None:
    """The answer takes the place of those on record, which are shown."""
    chat = opened(joined(), lang).set("set:leagues:a1")
    assert "Little League" in chat.said.text
    chat.tell(names)
    assert chat.family.athletes[0].rules == ("pony", "usssa")
    assert opened(joined(), lang).set("set:leagues:a1").tell("none").family.athletes[0].rules == ()


def test_with_several_athletes_it_is_asked_which() -> None:
    """Leagues, nickname and planned days are one athlete's."""
    family = joined(athletes=(BEAR, MOOSE))
    for act in ("set:leagues", "set:rename", "set:plan", "set:people"):
        chat = opened(family).set(act)
        assert {"set:one:a1", "set:one:a2"} <= set(chat.acts)
        assert chat.member.form is None
    assert "set:rename:a2" in opened(family).set("set:one:a2").acts


def test_an_athlete_is_removed_with_everything_after_one_more_yes() -> None:
    """Log, reports, plans, the own phone and its codes."""
    family = joined(GUARDIAN, TEEN, athletes=(BEAR, MOOSE))
    family, _ = with_outing(family, "a1", Outing("", SATURDAY, pitches=30))
    family = replace(
        family,
        reports=(Report(NOW, "a1", Tier.ASK, ("soreness",), "sore"),),
        clearances=(Clearance("a1", NOW, "physician"),),
        planned=(Planned("a1", SATURDAY),),
        off_seasons=(OffSeason("a1", SATURDAY, SATURDAY),),
    )
    chat = chat_of(family, 1).set("set:remove:a1")
    assert [a.name for a in chat.family.athletes] == ["Bear", "Moose"]
    assert tells(chat.said, "en", "remove_ask", name="Bear")
    chat.set("set:remove:a1:yes")
    assert chat.family.athletes == (MOOSE,)
    assert "a1" not in repr(chat.family)
    assert chat.family.member(TEEN.chat) is None


def test_no_athlete_on_hold_can_be_removed() -> None:
    """Removing and naming a child anew would be a way around the hold."""
    family = replace(joined(), holds=(Hold("a1", NOW, Tier.STOP),))
    chat = opened(family).set("set:remove:a1:yes")
    assert chat.family.athletes == (BEAR,)
    assert tells(chat.said, "en", "remove_hold")
    assert tells(chat.said, "en", "hold_on", name="Bear")


def test_an_athletes_phone_changes_its_own_language_and_nothing_else() -> None:
    """What is the family's is the guardian's to change."""
    family = joined(GUARDIAN, TEEN)
    for act in ("set:zone", "set:quiet:none", "set:remind:all:off", "set:add", "set:remove:a1:yes"):
        chat = chat_of(family, 2).set(act)
        assert tells(chat.said, "en", "set_grown_up")
        assert (chat.family, chat.member.form) == (family, None)
    assert chat_of(family, 2).set("set:lang:es").member.lang == "es"
    assert chat_of(family, 2).set("set:show").acts == ["set:lang:es"]


def test_an_athlete_who_joined_alone_has_the_settings() -> None:
    """But adds and removes nobody."""
    chat = chat_of(joined(TEEN), 2)
    assert chat.set("set:quiet:none").family.quiet == Quiet(0, 0)
    for act in ("set:add", "set:remove:a1:yes"):
        assert chat.set(act).family.athletes == (BEAR,)
        assert chat.member.form is None


@pytest.mark.parametrize(
    ("lang", "text", "days"),
    [("en", "saturday", [13]), ("en", "sat and june 20", [13, 20]), ("es", "el sábado", [13]),
     ("es", "sábado y 20 de junio", [13, 20]), ("en", "tomorrow", [11])],
)  # fmt: skip
def test_planned_days_are_told_in_words(lang: str, text: str, days: list[int]) -> None:
    """From Wednesday 10 June 2026; saying them twice adds none."""
    chat = opened(joined(), lang).set("set:plan:a1").tell(text)
    expected = tuple(Planned("a1", date(2026, 6, day)) for day in days)
    assert chat.family.planned == expected
    assert chat.member.form is None
    assert chat.set("set:plan:a1").tell(text).family.planned == expected
    for day in days:
        chat.set(f"set:unplan:a1:2026-06-{day}")
    assert chat.family.planned == ()


@pytest.mark.parametrize(
    "text", ["yesterday", "soon", "he threw 40 pitches", "june 1st", "form:day:x"]
)
def test_what_names_no_day_to_come_is_asked_again(text: str) -> None:
    """The list stays as it was; "none" leaves the question."""
    family = replace(joined(), planned=(Planned("a1", SATURDAY),))
    chat = opened(family).set("set:plan:a1").tell(text)
    assert chat.family.planned == family.planned
    assert chat.form.name == "planned"
    assert chat.tell("none").member.form is None


def test_a_plan_is_bounded_and_days_gone_by_fall_off() -> None:
    """Nothing is added where it would be too many, and that is said."""
    gone = Planned("a1", date(2026, 6, 1))
    chat = opened(replace(joined(), planned=(gone,))).set("set:plan").tell("saturday")
    assert chat.family.planned == (Planned("a1", SATURDAY),)
    many = tuple(Planned("a1", date(2026, 7, day)) for day in range(1, 25))
    chat = opened(replace(joined(), planned=many)).set("set:plan").tell("saturday")
    assert tells(chat.said, "en", "plan_full", name="Bear")
    assert chat.family.planned == many


@pytest.mark.parametrize("lang", ["en", "es"])
def test_on_hold_no_planned_day_is_taken_or_shown(lang: str) -> None:
    """A hold in the middle of the question ends it; the list itself is kept."""
    planned = (Planned("a1", SATURDAY),)
    held = replace(joined(), planned=planned, holds=(Hold("", NOW, Tier.STOP),))
    chat = opened(held, lang).set("set:plan:a1")
    assert tells(chat.said, lang, "hold_on", name="Bear")
    assert not dates_in(chat.said.text, lang)
    chat = opened(replace(joined(), planned=planned), lang).set("set:plan:a1")
    chat.said = replace(chat.said, family=replace(chat.family, holds=held.holds))
    chat.tell("sunday")
    assert tells(chat.said, lang, "hold_on", name="Bear")
    assert chat.family.planned == planned
    assert chat.member.form is None


def test_an_athlete_that_is_gone_is_nobodys_form() -> None:
    """Removed on the other phone in the middle of a question."""
    for act in ("set:rename:a1", "set:leagues:a1", "set:plan:a1"):
        chat = opened(joined()).set(act)
        chat.said = replace(chat.said, family=without_athlete(chat.family, "a1"))
        chat.tell("pony")
        assert chat.family.athletes == ()
        assert tells(chat.said, "en", "form_stopped")
        assert chat.member.form is None


def test_a_setting_opens_in_the_middle_of_another_form() -> None:
    """The form is left; nothing half-answered is taken."""
    chat = opened(joined()).set("set:rename:a1").set("set:zone")
    assert chat.form.name == "zone"
    said = settings.show(chat.family, chat.member, LIBRARY, NOW, zones())
    sound(said)
    assert said.family.athletes == (BEAR,)
