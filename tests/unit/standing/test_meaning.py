"""A number, a tote or a crop means the right batches, and an unclear word is refused with what to write."""

from __future__ import annotations

from dataclasses import replace

import pytest

from said import facts_said, grounds, refused
from steadysow.errors import InputFaults
from steadysow.inputs.journal import FactKind
from steadysow.standing.meaning import begun_batch, crop_named, find_tote, known_batches, tote_named


@pytest.mark.parametrize(
    ("kind", "on", "word", "batches"),
    [
        ("sown", 0, "7", [7]),
        ("sown", 0, "mizuna", [8, 9]),
        ("sown", 0, "A", [7, 8]),
        ("sown", 14, "rocket", [10]),
        ("emerged", 2, "7", [7]),
        ("emerged", 2, "b", [9]),
        ("emerged", 2, "Mizuna", [8, 9]),
        ("thinned", 3, "cress", [7]),
        ("thinned", 3, "A", [7, 8]),
        ("transplanted", 7, "8", [8]),
        ("transplanted", 7, "B", [9]),
        ("transplanted", 7, "mizuna", [8, 9]),
        ("harvested", 21, "9", [9]),
        ("harvested", 21, "A", [7, 8]),
        ("harvested", 21, "mizuna", [8, 9]),
        ("lost", 10, "8", [8]),
        ("lost", 10, "cress", [7]),
        ("bolted", 10, "cress", [7]),
        ("bolted", 10, "B", [9]),
        ("cleared", 22, "8", [8]),
        ("cleared", 22, "A", [7, 8]),
        ("cleared", 10, "cress", [7]),
        ("moved", 10, "9", [9]),
    ],
)
def test_a_number_a_tote_or_a_crop_finds_its_batches(kind: FactKind, on: int, word: str, batches: list[int]) -> None:
    """A number, a tote or a crop, in capitals or not, means the batches for which that fact comes next."""
    what = (word, "C") if kind == "moved" else (word,)
    facts = [fact for fact in facts_said(kind, *what, on=on) if not fact.assumed]
    assert [fact.batch for fact in facts] == batches
    assert {fact.on for fact in facts} == {grounds(on).today}


def test_a_crop_is_known_by_its_full_name_first() -> None:
    """Cress is a crop of its own, though brine cress ends in that word too."""
    assert facts_said("sown", "CRESS", on=0)[0].batch == 7


def test_a_crop_is_known_by_its_last_word_if_one_alone_ends_in_it() -> None:
    """Without a crop named cress, cress means brine cress."""
    ground = grounds(0)
    crops = {name: crop for name, crop in ground.garden.crops.items() if name != "cress"}
    assert crop_named("cress", replace(ground, garden=replace(ground.garden, crops=crops))) == "brine cress"


def test_totes_are_found_in_capitals_or_not() -> None:
    """Tote A is found as a; Z is no tote, and a refusal names the totes."""
    ground = grounds(0)
    assert (find_tote("a", ground), find_tote("Z", ground), tote_named("b", ground)) == ("A", None, "B")
    with pytest.raises(InputFaults, match=r'--free: there is no tote "Z"\. Write one of: A, B, C\.'):
        tote_named("Z", ground, "--free")


def test_known_batches_are_listed_with_their_crops() -> None:
    """On day 10 batches 7, 8 and 9 are sown; 10 and 11 are not yet."""
    assert known_batches(grounds(10)).startswith("Batches that have begun: 7 cress, 8 mizuna, 9 mizuna. ")
    assert known_batches(grounds(0)).startswith("Batches that have begun: none. ")


def test_a_batch_begins_with_its_sowing() -> None:
    """Batch 10 is sown on day 14, so it has begun on day 15 and not on day 14."""
    assert begun_batch(10, grounds(14)) is None
    batch = begun_batch(10, grounds(15))
    assert batch is not None
    assert (batch.id, batch.state) == (10, "transplanted")


def test_a_waiting_batch_is_not_cleared_bolted_or_moved_by_its_tote() -> None:
    """On day 5 all batches wait in the nursery."""
    for kind in ("cleared", "bolted"):
        assert f"no batch in tote A could be {kind} on Thu 8 Oct" in refused(kind, "A", on=5)
    assert "no batch of cress could be cleared" in refused("cleared", "cress", on=5)


@pytest.mark.parametrize(
    ("kind", "what", "on", "words"),
    [
        ("harvested", ("cress",), 5, ("no batch of cress could be harvested on Thu 8 Oct", "7 cress")),
        ("harvested", ("99",), 21, ("there is no batch 99", "7 cress, 8 mizuna, 9 mizuna", "show batches")),
        ("harvested", ("11",), 20, ("batch 11 is planned to be sown on Sat 24 Oct", "steadysow record sown 11")),
        ("harvested", ("mizuma",), 21, ('has no batch, tote or crop "mizuma"', "Did you mean mizuna?")),
        ("harvested", ("Z",), 21, ('has no batch, tote or crop "Z"', "A, B, C", "mizuna")),
        ("lost", ("A",), 10, ('"A" could mean batch 7 or 8', "Write the numbers you mean")),
        ("cleared", ("mizuna",), 22, ('"mizuna" could mean batch 8 or 9', "Write the numbers you mean")),
    ],
)  # fmt: skip
def test_an_unclear_word_is_refused(kind: FactKind, what: tuple[str, ...], on: int, words: tuple[str, ...]) -> None:
    """The refusal says what is wrong with the word and what to write."""
    sentence = refused(kind, *what, on=on)
    assert sentence.startswith("WHAT: ")
    for word in words:
        assert word in sentence
