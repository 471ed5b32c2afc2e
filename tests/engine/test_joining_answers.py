"""What each question understands, asks again, and refuses; figures are invented examples."""

from __future__ import annotations

from dataclasses import replace

import pytest
from joining_support import LIBRARY, at_step, begun, joined, opened, tells

from armbot.engine.joining_league import leagues_for, read_division, read_leagues
from armbot.engine.joining_words import hear, slips


@pytest.mark.parametrize(
    ("text", "arm", "sport"),
    [("right", "right", ""), ("LEFTY", "left", ""), ("left handed softball", "left", "softball"),
     ("zurda, softbol", "left", "softball"), ("derecho", "right", ""), ("both", "both", ""),
     ("right and left", "both", ""), ("los dos", "both", ""), ("rihgt", "right", ""),
     ("baseball", "", "baseball"), ("not left", "", ""),
     ("he hits lefty and throws righty", "", ""),
     ("banana", "", ""), ("r", "right", "")],
)  # fmt: skip
def test_arm_and_sport_are_read_together_or_apart(text: str, arm: str, sport: str) -> None:
    """A sport told too early is kept; what is denied or doubtful is asked again."""
    chat = at_step("arm", name="Bear", birth_year="2014", birth_month="6").tell(text)
    assert (chat.form.answer("arm"), chat.form.answer("sport")) == (arm, sport)
    assert (chat.form.step == "arm") == (not arm)


@pytest.mark.parametrize(
    ("text", "ids"),
    [("Little League", ("little_league",)), ("litle league", ("little_league",)),
     ("pequeñas ligas", ("little_league",)), ("LL", ("little_league",)),
     ("we play PONY and little league", ("little_league", "pony")), ("poni", ("pony",)),
     ("USSSA", ("usssa",)), ("ohio high school", ("hs_ohio",)),
     ("cal ripken majors", ("babe_ruth",)),
     ("baseball canada", ("baseball_canada",)), ("the moon league", ()), ("", ())],
)  # fmt: skip
def test_leagues_are_known_by_name_alias_and_slip(text: str, ids: tuple[str, ...]) -> None:
    """Several may be named at once; none is guessed."""
    assert read_leagues(text, leagues_for(LIBRARY, "baseball")) == ids


@pytest.mark.parametrize(
    ("text", "division"),
    [("little league 10U", "10U"), ("u12", "12U"), ("10 u pony", "10U"), ("LL majors", "Majors"),
     ("juvenil", "Juvenil"), ("little league", ""), ("pony", "")],
)  # fmt: skip
def test_a_division_is_read_beside_the_league(text: str, division: str) -> None:
    """By age, or by the words that leagues use (common practice)."""
    assert read_division(text, LIBRARY) == division


def test_guidelines_are_no_leagues() -> None:
    """The health guideline always counts, so it is nothing to choose."""
    assert "mlb_usab" not in {r.id for r in leagues_for(LIBRARY, "baseball")}


def test_more_leagues_come_by_a_button_and_none_is_an_answer() -> None:
    """The associations follow the leagues; "not sure" leaves the guideline alone to count."""
    told = {"name": "Bear", "birth_year": "2014", "birth_month": "6", "arm": "left"}
    chat = at_step("league", **told, sport="baseball").tell("form:league:more")
    chat.tap("form:league:hs_ohio")
    assert chat.form.answer("league") == "hs_ohio"
    for none in ("not sure", "none", "no sé", "form:league:none"):
        chat = at_step("league", **told, sport="baseball").tell(none)
        assert chat.form.answer("league") == "none"
    chat = at_step("league", **told, sport="baseball").tell("form:league:mlb_usab", "10u")
    assert (chat.form.answer("league"), chat.form.answer("division")) == ("", "10U")


def test_softball_is_not_asked_for_a_baseball_league() -> None:
    """And a change of sport takes the league back."""
    told = {"name": "Bear", "birth_year": "2014", "birth_month": "6", "arm": "left"}
    assert at_step("sport", **told).tell("softball").form.step == "zone"
    chat = at_step("zone", **told, sport="baseball", league="pony").tell("back", "back")
    assert chat.form.step == "sport"
    chat.tell("softball")
    assert (chat.form.answer("league"), chat.form.step) == ("", "zone")


@pytest.mark.parametrize(
    ("text", "zone"),
    [("Dallas", "America/Chicago"), ("dalas tx", "America/Chicago"),
     ("Pacific", "America/Los_Angeles"),
     ("hora del este", "America/New_York"), ("we live in boise idaho", "America/Denver"),
     ("America/Phoenix", "America/Phoenix"), ("buenos aires", "America/Argentina/Buenos_Aires"),
     ("São Paulo", "America/Sao_Paulo"), ("República Dominicana", "America/Santo_Domingo"),
     ("utc+5:45", "Asia/Kathmandu"), ("nowhere at all", ""), ("texas", ""),
     ("mexico", ""), ("UTC-5", ""),
     ("not in texas", ""), ("ok", "")],
)  # fmt: skip
def test_a_time_zone_is_read_or_asked_about(text: str, zone: str) -> None:
    """City, state, zone or offset; what may be several clocks is never guessed."""
    chat = at_step("zone", **COMPLETE).tell(text)
    assert chat.form.answer("zone") == zone
    assert (chat.form.step == "zone") == (not zone)


COMPLETE = {
    "name": "Bear", "birth_year": "2014", "birth_month": "6", "arm": "left",
    "sport": "baseball", "league": "none",
}  # fmt: skip


def test_a_doubtful_zone_offers_only_what_it_may_mean() -> None:
    """Texas has two clocks, and both are one tap away."""
    chat = at_step("zone", **COMPLETE).tell("texas")
    assert chat.acts[:-1] == ["form:zone:America/Chicago", "form:zone:America/Denver"]
    chat.tell("form:zone:Mars/Base")
    assert chat.form.answer("zone") == ""


@pytest.mark.parametrize(
    ("text", "value"),
    [("22 to 6", "22-6"), ("9pm-8am", "21-8"), ("9 p.m. to 8 a.m.", "21-8"), ("10-7am", "22-7"),
     ("de 9 de la noche a 8 de la mañana", "21-8"), ("22:30 to 6:30", "22-7"), ("21h a 7", "21-7"),
     ("midnight to 6 am", "0-6"), ("10 in the evening to 6 in the morning", "22-6"),
     ("none", "none"), ("ninguna", "none"), ("no", "none"), ("default", "21-8"), ("9 to 8", ""),
     ("25 to 6", ""), ("13pm to 6am", ""), ("sometimes", ""), ("9pm", ""), ("9pm to 9pm", "")],
)  # fmt: skip
def test_quiet_hours_are_read_or_asked_about(text: str, value: str) -> None:
    """Half hours widen to whole ones; which half of the day is meant is not guessed."""
    chat = at_step("quiet", **COMPLETE, zone="America/Chicago").tell(text)
    kept = chat.family.quiet
    got = "none" if kept.first == kept.last else f"{kept.first}-{kept.last}"
    if value:
        assert (chat.member.form, got) == (None, value)
    else:
        assert chat.form.step == "quiet"


def test_doubtful_quiet_hours_offer_both_halves_of_the_day() -> None:
    """From "9 to 8" may be a night or a working day."""
    chat = at_step("quiet", **COMPLETE, zone="America/Chicago").tell("9 to 8")
    assert chat.acts[:-1] == ["form:quiet:21-8", "form:quiet:9-20"]


@pytest.mark.parametrize(
    "act", ["form:league:pony", "form:consent:athlete", "form:nonsense", "form:"]
)
@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_button_of_another_question_changes_nothing(act: str, lang: str) -> None:
    """It says so kindly, and the present question comes again."""
    chat = at_step("arm", lang, name="Bear", birth_year="2014", birth_month="6")
    before = chat.family
    chat.tell(act)
    assert chat.family == before
    assert tells(chat.said, lang, "form_stale")
    assert "form:arm:left-baseball" in chat.acts


def test_back_goes_a_step_back_and_then_on_where_the_form_stood() -> None:
    """The answers in between stay as they were."""
    chat = at_step("zone", **COMPLETE).tell("back", "atrás")
    assert chat.form.step == "sport"
    chat.tell("baseball")
    assert chat.form.step == "zone"
    assert dict(chat.form.answers).items() >= COMPLETE.items()


def test_back_from_the_first_question_says_so() -> None:
    """Consent is not un-given by a step back."""
    chat = begun().tell("form:consent:guardian")
    assert chat.form.step == "name"
    chat.tell("back")
    assert chat.form.step == "role"
    chat.tell("back")
    assert tells(chat.said, "en", "first_question")
    assert chat.member.consent is not None


@pytest.mark.parametrize(
    ("text", "lang"), [("español", "es"), ("in spanish", "es"), ("inglés", "en")]
)
def test_the_language_can_be_changed_at_every_question(text: str, lang: str) -> None:
    """From the first message on; the question comes again in that language."""
    start = "es" if lang == "en" else "en"
    chat = begun(lang=start).tell(text)
    assert tells(chat.said, lang, "join_consent")
    chat = at_step("arm", start, name="Bear", birth_year="2014", birth_month="6").tell(text)
    assert tells(chat.said, lang, "join_arm", name="Bear")
    assert (chat.member.lang, chat.member.lang_chosen) == (lang, True)


def test_a_device_in_another_language_begins_in_english() -> None:
    """And one in Spanish, of any country, in Spanish."""
    assert begun(lang="fr").member.lang == "en"
    assert begun(lang="es-MX").member.lang == "es"
    assert begun(lang="").member.lang == "en"


def test_renaming_asks_for_a_nickname_as_joining_does() -> None:
    """Another athlete's nickname is not taken; one's own may stay."""
    chat = opened(joined()).set("set:rename:a1").tell("Polar Bear", "Polar Bear")
    assert chat.family.athletes[0].name == "Polar Bear"
    chat = opened(joined()).set("set:rename:a1").tell("bear")
    assert chat.family.athletes[0].name == "bear"


@pytest.mark.parametrize(
    ("one", "other", "far"),
    [("left", "left", 0), ("left", "lfet", 1), ("arm", "", 3), ("ab", "ca", 2)],
)
def test_slips_are_counted_as_letters_added_dropped_changed_or_swapped(
    one: str, other: str, far: int
) -> None:
    """Optimal string alignment, worked by hand."""
    assert slips(one, other) == slips(other, one) == far


def test_two_meanings_at_once_are_none() -> None:
    """An answer such as "right or left, I forget" is asked again."""
    assert hear(LIBRARY, "right or left i forget", ("right", "left")) == ""
    assert hear(LIBRARY, "right", ("right", "left")) == "right"


def test_a_step_of_nobody_is_stale() -> None:
    """A button of a form that is over changes nothing."""
    chat = opened(joined())
    before = chat.family
    chat.tell("form:zone:America/Denver")
    assert tells(chat.said, "en", "button_stale")
    assert replace(chat.family) == before
