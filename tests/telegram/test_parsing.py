"""Every kind of update has a defined meaning, and none that cannot be read stops another."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import pytest
import stand_in_support as updates
from hypothesis import given
from hypothesis import strategies as st
from quick import QUICK

from armbot.channels.telegram.buttons import ButtonKey
from armbot.channels.telegram.parsing import TABLE_BYTES, MalformedUpdate, Parsed, chat_of, parse
from armbot.model.incoming import Incoming, Kind

KEY = ButtonKey(b"a secret of the clinic's own")
NOW = datetime(2026, 5, 28, 12, tzinfo=UTC)
SENT = datetime.fromtimestamp(updates.WHEN, UTC)


def read(update: Mapping[str, Any]) -> Parsed | None:
    """The meaning of an update, which has number 7."""
    return parse({"update_id": 7, **update}, KEY, NOW)


def meant(update: Mapping[str, Any]) -> Incoming:
    """What was sent, of an update that means something."""
    parsed = read(update)
    assert parsed
    return parsed.incoming


def test_a_message_is_its_words_its_time_and_its_numbers() -> None:
    """Chat, message and update are told apart, and the time is aware."""
    update = updates.text(5, "62 tue, can he go fri", lang="es-MX")
    number = update["message"]["message_id"]
    expected = Incoming(7, 5, Kind.TEXT, "62 tue, can he go fri", number, SENT, "es")
    assert meant(update) == expected


@pytest.mark.parametrize(
    ("code", "lang"),
    [("en", "en"), ("en-US", "en"), ("ES", "es"), ("fil", ""), ("pt-br", ""), ("", "")],
)
def test_the_language_of_the_device(code: str, lang: str) -> None:
    """One of ours, or nothing; some devices tell none."""
    assert meant(updates.text(5, "hi", lang=code)).lang == lang


def test_an_edit_has_the_number_of_what_it_changes_and_its_own_time() -> None:
    """So that the log it belongs to can be corrected."""
    edit = meant(updates.edit(5, "he has pain", 41))
    assert (edit.kind, edit.text, edit.message) == (Kind.EDIT, "he has pain", 41)
    assert (edit.at - SENT).total_seconds() == 60


def test_a_caption_in_new_words_is_an_edit() -> None:
    """A danger word in it must be read."""
    update = updates.edit(5, "", 41, caption="now it is numb", photo=[])
    del update["edited_message"]["text"]
    assert meant(update).text == "now it is numb"


def test_a_place_that_moves_along_is_no_edit() -> None:
    """It is sent as an edit every few seconds, and has no words."""
    update = updates.edit(5, "", 41, location={"latitude": 1.5, "longitude": 2.5})
    del update["edited_message"]["text"]
    assert read(update) is None


@pytest.mark.parametrize("kind", updates.MEDIA)
@pytest.mark.parametrize("caption", ["", "his hand is cold"])
def test_what_is_no_text_is_media_with_its_caption(kind: str, caption: str) -> None:
    """Voice, sticker, place, contact and the like get an answer; a caption is read."""
    sent = meant(updates.media(5, kind, caption))
    assert (sent.kind, sent.text) == (Kind.MEDIA, caption)


def test_photos_sent_together_are_known_as_such() -> None:
    """So that five photos are answered once."""
    parsed = read(updates.photo(5, "look", media_group_id="77"))
    assert parsed
    assert (parsed.incoming.text, parsed.album) == ("look", "77")


def test_a_forwarded_message_is_read_as_a_message() -> None:
    """A coach's words sent on by a parent may hold a danger sign."""
    origin = {"type": "hidden_user", "sender_user_name": "Coach", "date": updates.WHEN}
    update = updates.text(5, "he felt a pop", forward_origin=origin)
    assert meant(update).text == "he felt a pop"


def test_what_is_beside_the_words_cannot_cost_them() -> None:
    """A message in answer to something that the library cannot read is read all the same."""
    broken = {"message_id": "?", "poll": {"new": "shape"}}
    update = updates.text(5, "he felt a pop", reply_to_message=broken, poll={"id": 3})
    assert meant(update).text == "he felt a pop"


@pytest.mark.parametrize(
    ("name", "kind", "size", "fetched"),
    [
        ("log.csv", "text/csv", 900, True),
        ("LOG.CSV", "application/vnd.ms-excel", TABLE_BYTES, True),
        ("log", "text/csv", 900, True),
        ("log.csv", "text/csv", TABLE_BYTES + 1, False),
        ("log.csv", "text/csv", 0, False),
        ("scan.pdf", "application/pdf", 900, False),
    ],
)
def test_a_small_table_can_be_fetched(name: str, kind: str, size: int, *, fetched: bool) -> None:
    """Any other document is only media, and is not downloaded."""
    parsed = read(updates.document(5, name, kind, size, file_id="abc"))
    assert parsed
    assert (parsed.incoming.kind, parsed.incoming.text) == (Kind.MEDIA, "")
    assert parsed.file_id == ("abc" if fetched else "")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("/start", ""),
        ("/start  ", ""),
        ("/start Ab_9-z", "Ab_9-z"),
        ("/start@armbot_test_bot Ab9", "Ab9"),
        ("/start " + "x" * 64, "x" * 64),
    ],
)
def test_the_command_that_opens_a_chat_carries_a_code(words: str, code: str) -> None:
    """Up to 64 letters, digits, _ and - (Bot API, deep linking)."""
    started = meant(updates.text(5, words))
    assert (started.kind, started.text) == (Kind.STARTED, code)


@pytest.mark.parametrize(
    "words", ["/start his elbow hurts", "/start " + "x" * 65, "/started", "/help", "start"]
)
def test_words_after_the_command_are_read_as_a_message(words: str) -> None:
    """A report must not be taken for the code of an invitation."""
    said = meant(updates.text(5, words))
    assert (said.kind, said.text) == (Kind.TEXT, words)


def test_a_button_is_its_act_where_it_was_signed_for_that_chat() -> None:
    """It has the time of now, since Telegram sends none; its phone waits for an answer."""
    parsed = read(updates.button(5, KEY.sign(5, "answer:2"), "q1"))
    assert parsed
    assert (parsed.incoming.kind, parsed.incoming.text) == (Kind.BUTTON, "answer:2")
    assert (parsed.incoming.at, parsed.callback_id) == (NOW, "q1")


@pytest.mark.parametrize("data", [KEY.sign(6, "answer:2"), "answer:2", "", "\ud800"])
def test_a_forged_button_means_nothing_and_is_answered(data: str) -> None:
    """Its act is empty; the query is answered all the same."""
    parsed = read(updates.button(5, data, "q1"))
    assert parsed
    assert (parsed.incoming.kind, parsed.incoming.text) == (Kind.BUTTON, "")
    assert parsed.callback_id == "q1"


def test_a_button_below_a_message_of_long_ago() -> None:
    """Telegram then gives the message without what it held, dated 0."""
    update = updates.button(5, KEY.sign(5, "answer:2"))
    below = update["callback_query"]["message"]
    kept = {"chat": below["chat"], "message_id": below["message_id"], "date": 0}
    update["callback_query"]["message"] = kept
    assert meant(update).text == "answer:2"


@pytest.mark.parametrize("kind", ["group", "supergroup"])
def test_of_a_group_only_the_chat_is_passed_on(kind: str) -> None:
    """Not one word of health talk among several people goes any further."""
    said = meant(updates.group_text(-5, "Sam's elbow hurts", kind))
    assert (said.chat, said.kind, said.text) == (-5, Kind.GROUP, "")


def test_an_edit_a_photo_and_a_button_in_a_group_are_no_different() -> None:
    """Whatever is held there, the text is empty."""
    edited = {"edited_message": updates.group_text(-5, "sore")["message"]}
    shown = updates.photo(5, "sore")
    shown["message"]["chat"] = updates.group(-5)
    pressed = updates.button(5, KEY.sign(-5, "answer:2"), "q1")
    pressed["callback_query"]["message"]["chat"] = updates.group(-5)
    for update in (edited, shown, pressed, updates.membership(-5, "left", "member")):
        assert (meant(update).kind, meant(update).text) == (Kind.GROUP, "")
    assert read(updates.membership(-5, "member", "kicked")) is None


def test_a_group_that_moved_says_where_to() -> None:
    """Told twice, in the old chat and in the new one, with the same meaning."""
    old = meant(updates.moved(-5, -1005))
    new = updates.message(5, migrate_from_chat_id=-5)
    twin = meant({"message": {**new, "chat": updates.group(-1005)}})
    assert {(m.kind, m.chat, m.text) for m in (old, twin)} == {(Kind.MOVED, -5, "-1005")}


@pytest.mark.parametrize(
    ("before", "after", "kind"),
    [("member", "kicked", Kind.BLOCKED), ("kicked", "member", Kind.UNBLOCKED)],
)
def test_blocking_and_coming_back_are_told(before: str, after: str, kind: Kind) -> None:
    """Reminders stop and may begin again."""
    change = meant(updates.membership(5, before, after))
    assert (change.kind, change.chat) == (kind, 5)


CHANNEL = {"id": -1009, "type": "channel", "title": "News"}


@pytest.mark.parametrize(
    "update",
    [
        updates.unknown(5),
        {"message": {**updates.message(5, text="sore"), "chat": CHANNEL}},
        {"message": updates.message(5, pinned_message=updates.message(5, text="sore"))},
        {"callback_query": {"id": "1", "from": updates.person(5), "chat_instance": "1"}},
        {},
    ],
)
def test_what_nobody_wrote_to_the_bot_needs_nothing(update: Mapping[str, Any]) -> None:
    """Kinds of a later Bot API, channels, notices: confirmed, and no effect."""
    assert read(update) is None


@pytest.mark.parametrize(
    "update",
    [
        updates.malformed(5),
        {"message": {"text": "Sam's elbow"}},
        {"callback_query": {"id": 1}},
    ],
)
def test_what_cannot_be_read_is_named_by_its_number(update: Mapping[str, Any]) -> None:
    """So that it can be set aside; the error does not say what it held."""
    with pytest.raises(MalformedUpdate) as raised:
        read(update)
    assert raised.value.update_id == 7
    assert "7" in str(raised.value)
    assert "elbow" not in str(raised.value)


@pytest.mark.parametrize("raw", [{}, {"update_id": "7"}, {"update_id": True}, []])
def test_what_has_no_number_cannot_be_read(raw: Any) -> None:
    """It is malformed as well, under number 0."""
    with pytest.raises(MalformedUpdate) as raised:
        parse(raw, KEY, NOW)
    assert raised.value.update_id == 0


def test_halves_of_letters_are_replaced() -> None:
    """A lone surrogate comes through JSON, and no file could hold it; a pair is one letter."""
    assert meant(updates.text(5, "a\ud83db \ud83d\ude00")).text == "a\ufffdb 😀"


def test_reading_changes_nothing() -> None:
    """The update is read again after a failure, and may have to be set aside as it came."""
    update = {"update_id": 7, **updates.button(5, "x")}
    before = copy.deepcopy(update)
    parse(update, KEY, NOW)
    assert update == before


@pytest.mark.parametrize(
    ("update", "chat"),
    [
        (updates.text(5, "hi"), 5),
        (updates.edit(5, "hi", 3), 5),
        (updates.button(5, "x"), 5),
        (updates.membership(5, "member", "kicked"), 5),
        (updates.group_text(-5, "hi"), -5),
        (updates.unknown(5), 5),
        ({"message": "?"}, 0),
    ],
)
def test_the_chat_of_any_update_keeps_its_order(update: Mapping[str, Any], chat: int) -> None:
    """Found in the raw update, before anything is parsed."""
    assert chat_of({"update_id": 7, **update}) == chat


names = st.sampled_from("message chat id text from date type callback_query".split())
json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=4),
    max_leaves=12,
)


@QUICK
@given(st.dictionaries(st.sampled_from(["message", "callback_query", "x"]), json_values))
def test_no_shape_of_update_gives_any_other_error(update: dict[str, Any]) -> None:
    """Whatever comes is read, needs nothing, or is malformed."""
    chat_of(update)
    try:
        read(update)
    except MalformedUpdate as error:
        assert error.update_id == 7  # noqa: PT017 - both ends are right
