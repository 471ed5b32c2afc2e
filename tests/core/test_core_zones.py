"""Time zones by the names families use, checked against the tz database's own files."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

import pytest
from conversation import ROOT

from armbot.content.strict import ContentError
from armbot.content.zones import load_zones
from armbot.core.zones import Zones, common_near, different, find, label, offset_at, table, table_of

if TYPE_CHECKING:
    from pathlib import Path

SUMMER = datetime(2026, 6, 10, 23, tzinfo=UTC)
WINTER = datetime(2026, 1, 10, 23, tzinfo=UTC)
HOME = "America/Chicago"


@cache
def shipped() -> Zones:
    """The table as it is shipped, with this machine's zones."""
    return load_zones(ROOT / "content")


def found(text: str, now: datetime = SUMMER) -> tuple[str, ...]:
    """What a plain text may mean at a clinic in Chicago."""
    return find(shipped(), text, now, HOME)


@cache
def listed() -> list[tuple[str, str, str]]:
    """(country, zone, comment) of every row of zone.tab in the tzdata package (IANA)."""
    text = (resources.files("tzdata") / "zoneinfo" / "zone.tab").read_text("utf-8")
    rows = [line.split("\t") for line in text.splitlines() if line and line[0] != "#"]
    return [(row[0], row[2], row[3] if len(row) > 3 else "") for row in rows]


def clock(zone: str) -> tuple[timedelta, ...]:
    """How a zone's clock runs, month by month."""
    return tuple(offset_at(zone, datetime(2026, month, 1, tzinfo=UTC)) for month in range(1, 13))


def test_every_zone_of_the_database_answers_to_its_city() -> None:
    """The last part of each name in zone.tab leads to that clock, or to a choice with it."""
    lost = []
    for _, zone, _ in listed():
        city = zone.rpartition("/")[2].replace("_", " ").replace("-", " ").lower()
        if clock(zone) not in [clock(z) for z in found(city)]:
            lost.append(zone)
    assert not lost


def test_every_zone_answers_to_its_own_name() -> None:
    """As it stands, in any case: "America/Argentina/Buenos_Aires"."""
    names = [z for z in shipped().names if "/" in z and not z.startswith("Etc/")]
    assert len(names) > 400
    assert not [z for z in names if clock(z) not in [clock(f) for f in found(z.lower())]]


STATES = {
    "MI": "michigan", "IN": "indiana", "KY": "kentucky", "ND": "north dakota", "ID": "idaho",
    "OR": "oregon", "AZ": "arizona",
}  # fmt: skip
"""States that zone.tab names in its comments on the United States."""


def test_states_with_several_clocks_are_as_in_the_database() -> None:
    """Every state that a comment of zone.tab names leads to that zone's clock as well."""
    seen = set()
    for country, zone, comment in listed():
        for code in re.findall(r"\b[A-Z]{2}\b", comment) if country == "US" else ():
            seen.add(code)
            assert clock(zone) in [clock(z) for z in found(STATES[code])], (code, zone)
    assert seen == set(STATES)


PROVINCES = {
    "NS": "nova scotia", "ON": "ontario", "QC": "quebec", "SK": "saskatchewan", "NU": "nunavut",
    "PE": "prince edward island",
}  # fmt: skip


def test_most_of_canada_is_as_in_the_database() -> None:
    """The zone that zone.tab gives for most areas of a province is among those offered."""
    for country, zone, comment in listed():
        if country == "CA" and "most areas" in comment:
            for code in re.findall(r"\b[A-Z]{2}\b", comment):
                if code in PROVINCES:
                    assert clock(zone) in [clock(z) for z in found(PROVINCES[code])], (code, zone)


def test_every_state_is_known_by_name_and_by_letters() -> None:
    """All fifty, the District and Puerto Rico (USPS abbreviations), beside a city."""
    names = (
        "al ak az ar ca co ct de fl ga hi id il in ia ks ky la me md ma mi mn ms mo mt ne nv nh"
        " nj nm ny nc nd oh ok or pa ri sc sd tn tx ut vt va wa wv wi wy dc pr"
    )
    assert len(names.split()) == 52
    assert not [code for code in names.split() if code not in shipped().meant]


@pytest.mark.parametrize(
    ("text", "zones"),
    [
        ("portland", {"America/Los_Angeles", "America/New_York"}),
        ("portland maine", {"America/New_York"}),
        ("portland, or", {"America/Los_Angeles"}),
        ("springfield", {"America/Chicago", "America/New_York"}),
        ("springfield il", {"America/Chicago"}),
        ("kansas city", {"America/Chicago"}),
        ("el paso texas", {"America/Denver"}),
        ("san juan", {"America/Puerto_Rico", "America/Argentina/San_Juan"}),
        ("athens", {"America/New_York", "America/Chicago", "Europe/Athens"}),
        ("la", {"America/Chicago", "America/Los_Angeles"}),
        ("mst", {"America/Denver", "America/Phoenix"}),
        ("nowhere", set()),
        ("not in texas", set()),
        ("", set()),
    ],
)
def test_places_with_one_name_are_all_offered(text: str, zones: set[str]) -> None:
    """What is said beside the name narrows it; from memory, each on any map."""
    assert set(found(text)) == zones


@pytest.mark.parametrize("text", ["ok", "hi", "i moved in", "este es el juego", "reading a book"])
def test_everyday_words_are_no_places(text: str) -> None:
    """Oklahoma, Hawaii, Indiana, the East and Reading are meant only where it is plain."""
    assert found(text) == ()


def test_everyday_words_count_beside_a_place_or_alone() -> None:
    """As in "Tulsa OK", "Reading, PA", and "este" as the whole answer."""
    assert found("tulsa ok") == ("America/Chicago",)
    assert found("reading pa") == found("este") == ("America/New_York",)


@pytest.mark.parametrize(
    ("text", "now", "zones"),
    [
        ("utc-5", SUMMER, {"America/New_York", "America/Chicago", "Etc/GMT+5"}),
        ("gmt -5", WINTER, {"America/New_York", "America/Chicago", "Etc/GMT+5"}),
        ("-7", SUMMER, {"America/Denver", "America/Phoenix", "America/Los_Angeles"}),
        ("utc+5:45", SUMMER, {"Asia/Kathmandu"}),
        ("utc+0530", SUMMER, {"Asia/Calcutta"}),
        ("utc", SUMMER, {"Etc/GMT"}),
        ("utc+99", SUMMER, set()),
    ],
)
def test_an_offset_is_every_clock_that_shows_it(text: str, now: datetime, zones: set[str]) -> None:
    """Now or in the other half of the year: families say either (worked by hand)."""
    assert set(found(text, now)) == zones


def test_zones_that_show_the_same_all_year_are_one() -> None:
    """Detroit is no other choice than New York, Phoenix another one than Denver."""
    names = ("America/New_York", "America/Detroit", "America/Denver", "America/Phoenix")
    assert different(names, SUMMER) == (names[0], names[2], names[3])


def test_buttons_are_those_of_the_clinics_country() -> None:
    """Mexico's for a clinic in Tijuana; the first country's where none fits."""
    assert "America/Mexico_City" in common_near(shipped(), "America/Tijuana")
    assert HOME in common_near(shipped(), HOME)
    assert HOME in common_near(shipped(), "Asia/Tokyo")
    assert common_near(table_of(["Asia/Tokyo"]), "Asia/Tokyo") == ("Asia/Tokyo",)


def test_every_button_has_a_label_and_fixed_offsets_read_as_written() -> None:
    """Etc/GMT+5 is UTC-5: the names of the database count the other way."""
    assert label(shipped(), "America/Denver", "es") == "Montaña (Denver)"
    assert label(shipped(), "Etc/GMT+5", "en") == "UTC-5"
    assert label(shipped(), "Etc/GMT-14", "en") == "UTC+14"
    assert label(shipped(), "Etc/GMT", "en") == "UTC"
    assert label(shipped(), "America/North_Dakota/New_Salem", "en") == "New Salem"
    assert offset_at("Etc/GMT+5", SUMMER) == timedelta(hours=-5)


def test_a_plain_list_of_names_does_as_a_table() -> None:
    """Without places a zone still answers to its city and to offsets."""
    plain = table_of(["America/Denver", "Etc/GMT+7"])
    assert find(plain, "denver", SUMMER, HOME) == ("America/Denver",)
    assert find(plain, "utc-7", SUMMER, HOME) == ("Etc/GMT+7",)
    assert list(plain) == ["America/Denver", "Etc/GMT+7"]
    assert plain[:1] == ("America/Denver",)
    assert plain[0] in plain


def test_places_claim_a_word_before_the_last_part_of_a_name() -> None:
    """In a table that puts Athens in Georgia alone it is not Greece."""
    own = table(["Europe/Athens", HOME], {HOME: ["athens"]}, {}, {})
    assert find(own, "athens", SUMMER, HOME) == (HOME,)


GOOD = """common:
  US: [America/Chicago]
labels: {}
everyday: []
places:
  America/Chicago: [chicago]
"""


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ("places:\n  America/Chicago", "places:\n  America/Chicagoo", "no time zone"),
        ("US: [America/Chicago]", "US: [Mars/Base]", "no time zone"),
        ("[chicago]", "[Chicago]", "is not plain"),
        ("[chicago]", "[chicago, chicago]", "stands here twice"),
        ("everyday: []", "everyday: [mars]", "is no place here"),
        ("labels: {}", "labels: {America/Chicago: {en: Central}}", "'es' is missing"),
        ("everyday: []\n", "", "'everyday' is missing"),
    ],
)
def test_a_mistake_in_the_table_is_named_with_its_line(
    tmp_path: Path, old: str, new: str, problem: str
) -> None:
    """File, line, what is wrong, and how to mend it."""
    (tmp_path / "zones").mkdir()
    (tmp_path / "zones" / "zones.yaml").write_text(GOOD, "utf-8")
    assert load_zones(tmp_path).meant["chicago"] == ("America/Chicago",)
    (tmp_path / "zones" / "zones.yaml").write_text(GOOD.replace(old, new), "utf-8")
    with pytest.raises(ContentError, match=re.escape(problem)) as caught:
        load_zones(tmp_path)
    assert caught.value.remedy
