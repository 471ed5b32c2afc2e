"""What each question understands, asks again, and refuses; figures are invented examples."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conversation import TODAY
from joining_support import LIBRARY, at_step, begun, joined, opened, tells

from armbot.engine.joining_birth import Born, read_birth
from armbot.engine.joining_league import leagues_for, read_division, read_leagues
from armbot.engine.joining_names import MOST_CHARACTERS, nickname
from armbot.engine.joining_words import hear, slips
from armbot.model.people import BirthMonth


@pytest.mark.parametrize(
    "text",
    ["June 2014", "june, 2014", "jun 14", "Jun '14", "6/2014", "06/2014", "6-2014", "2014-06",
     "2014/6", "6.2014", "6/14", "2014-06-05", "june 5, 2014", "5 June 2014", "june 5th 2014",
     "born june 2014", "6/5/2014", "JUNE 2014", "jume 2014", "junio de 2014", "5 de junio de 2014",
     "nació en junio del 2014", "6/25/14"],
)  # fmt: skip
def test_a_birth_is_read_in_any_usual_way(text: str) -> None:
    """Month and year, whatever stands between them; a day is read over."""
    assert read_birth(text, LIBRARY, TODAY, day_first=False) == Born((BirthMonth(2014, 6),))


def test_a_date_that_may_be_two_months_is_asked_about_in_spanish() -> None:
    """Families write 5/6 both ways; 25/6 and 2014-05-06 leave no doubt."""
    both = (BirthMonth(2014, 5), BirthMonth(2014, 6))
    assert read_birth("5/6/2014", LIBRARY, TODAY, day_first=True).months == both
    assert read_birth("25/6/2014", LIBRARY, TODAY, day_first=True).months == both[1:]
    assert read_birth("2014-05-06", LIBRARY, TODAY, day_first=True).months == both[:1]
    chat = at_step("birth_year", "es", name="Oso").tell("5/6/2014")
    assert tells(chat.said, "es", "hint_which")
    chat.tap("form:birth_year:2014-05")
    assert (chat.form.answer("birth_month"), chat.form.step) == ("5", "arm")


def test_year_and_month_may_come_in_two_messages_either_first() -> None:
    """First "2014", then "june"; or "june", then "2014"."""
    for first, second in (("2014", "june"), ("june", "2014"), ("2014", "6"), ("2014", "06")):
        chat = at_step("birth_year", name="Bear").tell(first, second)
        assert (chat.form.answer("birth_year"), chat.form.answer("birth_month")) == ("2014", "6")
        assert chat.form.step == "arm"


def test_an_age_is_no_birth_and_is_asked_about() -> None:
    """Eleven in June 2026: born in 2014 or 2015, or in the year "11": never guessed."""
    chat = at_step("birth_year", name="Bear").tell("11")
    assert chat.acts[:3] == [f"form:birth_year:{year}" for year in (2011, 2014, 2015)]


@pytest.mark.parametrize(
    ("text", "hint"),
    [("July 2026", "hint_birth_future"), ("2030", "hint_birth_future"),
     ("June 2026", "hint_birth_age"), ("may 1985", "hint_birth_age"), ("1985", "hint_birth_age"),
     ("13/2014", "hint_birth"), ("soon", "hint_birth"), ("20145 june 3", "hint_birth"),
     ("how many pitches can he throw", "hint_birth"), ("june or july 2014", "hint_birth")],
)  # fmt: skip
def test_a_birth_that_cannot_be_is_asked_again(text: str, hint: str) -> None:
    """With what is wrong; the nickname told before stays."""
    chat = at_step("birth_year", name="Bear").tell(text)
    assert chat.form.step == "birth_year"
    assert tells(chat.said, "en", hint, year=text[-4:])
    assert chat.form.answer("name") == "Bear"


@pytest.mark.parametrize("value", ["0", "13", "june ", "x", "2014-13", ""])
def test_a_forged_month_button_is_asked_again_or_read_as_typed(value: str) -> None:
    """Whatever a payload says, only a real month is taken."""
    chat = at_step("birth_month", name="Bear", birth_year="2014").tell(f"form:birth_month:{value}")
    month = chat.form.answer("birth_month")
    assert month == ("6" if value.strip() == "june" else "")


@pytest.mark.parametrize(
    ("text", "kept"),
    [("Bear", "Bear"), ("  Big\u202e   Bear\u200b ", "Big Bear"), ("**Ace**", "Ace"),
     ("#12", "#12"), ("Ñandú", "Ñandú"), ("a\x00b\nc", "ab c"), ("x" * 60, "x" * MOST_CHARACTERS), ("***", ""),
     ("🔥", ""), ("\u202e\u200f", ""), ("\ud800Zed", "Zed")],
)  # fmt: skip
def test_a_nickname_is_cleaned_before_it_is_kept(text: str, kept: str) -> None:
    """No control or direction marks, no bold marks, at most 24 characters."""
    assert nickname(text) == kept


@pytest.mark.parametrize(
    ("lang", "full"), [("en", "Jordan Smithson"), ("es", "Ana Belén"), ("en", "Mary-Ann O'Toole")]
)
def test_a_full_name_is_declined_once_and_taken_if_repeated(lang: str, full: str) -> None:
    """It may be a nickname after all; meanwhile the name itself is not kept."""
    chat = at_step("name", lang).tell(full)
    assert tells(chat.said, lang, "hint_full_name")
    assert full.split()[1] not in repr(chat.family)
    chat.tell(full)
    assert chat.form.answer("name") == full
    assert chat.form.answer("name_doubt") == ""


def test_another_name_after_a_full_one_is_taken_at_once() -> None:
    """The hint was understood."""
    assert at_step("name").tell("Jordan Smithson", "Jo").form.answer("name") == "Jo"
    assert at_step("name").tell("Jordan Smithson", "Jordan Jones").form.answer("name") == ""


@pytest.mark.parametrize(
    ("text", "name"),
    [("call him Tank", "Tank"), ("his name is Tank", "Tank"), ("se llama Osito", "Osito"),
     ("Big T", "Big T"), ("le decimos El Oso", ""), ("Buck", "Buck"), ("J", "J")],
)  # fmt: skip
def test_a_nickname_inside_a_sentence_is_found(text: str, name: str) -> None:
    """The words before it are no part of it."""
    assert at_step("name").tell(text).form.answer("name") == name


@pytest.mark.parametrize(
    "text", ["yes", "no", "hola", "idk", "how old can he be?", "he threw forty pitches today", "🔥"]
)
def test_what_is_no_nickname_is_asked_again(text: str) -> None:
    """A question or an answer to something else becomes nobody's name."""
    chat = at_step("name").tell(text)
    assert tells(chat.said, "en", "hint_name")
    assert chat.form.answer("name") == ""


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
