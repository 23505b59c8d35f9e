"""Published sources: every field is read, every citation found, and every computed figure computed again."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from steadysow.errors import InputFaults
from steadysow.inputs import sources
from steadysow.inputs.sources import (
    Publication,
    cited_keys,
    cited_publications,
    read_publication,
    read_publications,
    reference_text,
    shipped_sources_folder,
)
from steadysow.inputs.values import FaultList

FILE = """\
key: doe-2001
author: Jo Doe
title: Peas in Pots
in: Journal of Pots 3, 4-5
year: 2001
where: table 2
read: seen second-hand
note: as given by another
table:
  days_by_temperature_c:
    pea: {10: 9, 20.5: none, -5: "7"}
  range: [1, 2.5]
  unknown: null
"""


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Give a folder of publications that stands in for the shipped one."""
    monkeypatch.setattr(sources, "shipped_sources_folder", lambda: tmp_path)
    read_publication.cache_clear()
    (tmp_path / "doe-2001.yaml").write_text(FILE, encoding="utf-8")
    yield tmp_path
    read_publication.cache_clear()


def table(key: str) -> Any:
    """Give the table of a shipped publication."""
    return read_publication(key).table


def test_every_field_is_read(shelf: Path) -> None:
    """Every field is read; a table keeps numbers as numbers and quoted text as text."""
    faults = FaultList()
    expected = Publication(
        key="doe-2001",
        author="Jo Doe",
        title="Peas in Pots",
        published_in="Journal of Pots 3, 4-5",
        year=2001,
        where="table 2",
        read="seen second-hand",
        note="as given by another",
        table={
            "days_by_temperature_c": {"pea": {10: 9, 20.5: "none", -5: "7"}},
            "range": [1, 2.5],
            "unknown": None,
        },
    )
    assert read_publications(faults) == {"doe-2001": expected}
    assert not faults
    assert read_publication("doe-2001") == expected


def test_what_was_not_visible_is_none(shelf: Path) -> None:
    """Author, title and year may be null or left out."""
    text = FILE.replace("author: Jo Doe\n", "author: null\n").replace("year: 2001\n", "").replace("Peas in Pots", "")
    (shelf / "doe-2001.yaml").write_text(text, encoding="utf-8")
    publication = read_publication("doe-2001")
    assert (publication.author, publication.title, publication.year) == (None, None, None)


@pytest.mark.parametrize(
    ("old", "new", "line", "field", "wrong"),
    [
        ("key: doe-2001", "key: roe-2001", 1, "key", "differs from the name of the file"),
        ("read: seen second-hand", "read: heard", 7, "read", 'unknown word "heard"'),
        ("year: 2001", "year: soon", 5, "year", '"soon" is not a number'),
        ("where: table 2\n", "", 1, "where", "is missing"),
        ("author: Jo Doe", "writer: Jo Doe", 2, "writer", "there is no such key"),
    ],
)
def test_a_bad_file_is_a_fault(shelf: Path, old: str, new: str, line: int, field: str, wrong: str) -> None:
    """The fault has its line, and the publication is left out."""
    (shelf / "doe-2001.yaml").write_text(FILE.replace(old, new), encoding="utf-8")
    faults = FaultList()
    assert read_publications(faults) == {}
    assert [(fault.line, fault.field, fault.wrong) for fault in faults] == [(line, field, wrong)]
    with pytest.raises(InputFaults, match="doe-2001"):
        read_publication("doe-2001")


def test_a_table_must_hold_something(shelf: Path) -> None:
    """A source without figures is a fault."""
    (shelf / "doe-2001.yaml").write_text(FILE[: FILE.index("table:")] + "table: {}\n", encoding="utf-8")
    with pytest.raises(InputFaults, match="table: is empty"):
        read_publication("doe-2001")


def test_a_key_without_a_file_is_a_fault(shelf: Path) -> None:
    """The fault of a key that is not shipped names the missing file."""
    with pytest.raises(InputFaults, match=r"roe-2002\.yaml"):
        read_publication("roe-2002")


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("[doe-2001] pea row (seen)", ("doe-2001",)),
        ("[b] 28 (seen); [a-1] 24 a m2 (seen), [b] again", ("b", "a-1")),
        ("about 11 (from memory)", ()),
        ("[Not A Key], [1, 2] and [../x]", ()),
    ],
)
def test_cited_keys(text: str, keys: tuple[str, ...]) -> None:
    """Keys are in square brackets; each is given once, in the order of its first citation."""
    assert cited_keys(text) == keys


def test_only_shipped_publications_are_cited(shelf: Path) -> None:
    """Brackets without a publication's key are ignored, and each publication is given once."""
    cited = cited_publications(["[mine] of my own", "[doe-2001] (seen)", "[doe-2001] again"])
    assert [publication.key for publication in cited] == ["doe-2001"]


def test_reference_as_a_sentence(shelf: Path) -> None:
    """A reference has author, year, title, part and how it was read; what is unknown is left out or named unknown."""
    assert reference_text(read_publication("doe-2001")) == (
        'Jo Doe (2001), "Peas in Pots", Journal of Pots 3, 4-5: table 2 (seen second-hand; as given by another).'
    )
    read_publication.cache_clear()
    (shelf / "doe-2001.yaml").write_text(
        "key: doe-2001\nauthor: null\ntitle: null\nwhere: abstract\nread: memory\ntable: {days: 3}\n", encoding="utf-8"
    )
    assert reference_text(read_publication("doe-2001")) == "Unnamed authors (no year): abstract (from memory)."


def test_shipped_files_are_free_of_faults() -> None:
    """Every shipped file is read as one publication."""
    faults = FaultList()
    found = read_publications(faults)
    assert [str(fault) for fault in faults] == []
    assert set(found) == {path.stem for path in shipped_sources_folder().glob("*.yaml")}
    assert len(found) >= 60


def test_a_publication_without_author_or_title_can_be_found() -> None:
    """It has a note or a place of publication."""
    for publication in read_publications(FaultList()).values():
        if publication.author is None or publication.title is None:
            assert publication.note or publication.published_in, publication.key


def test_binomial_counts() -> None:
    """The published number of seeds gives enough plants with the stated confidence, and one seed fewer does not."""

    def chance(seeds: int, share: float, plants: int) -> float:
        return sum(math.comb(seeds, up) * share**up * (1 - share) ** (seeds - up) for up in range(plants, seeds + 1))

    counts = table("binomial-seed-counts")
    for confidence, rows in counts["seeds_by_confidence_and_share"].items():
        for share, row in rows.items():
            for plants, seeds in zip(counts["plants"], row, strict=True):
                assert chance(seeds, share, plants) >= confidence - 1e-12
                assert chance(seeds - 1, share, plants) < confidence - 1e-12


def test_water_of_floats() -> None:
    """Gallons divided by plants are the litres a plant; plants divided by the sheet are the plants a square metre."""
    floats = table("shuler-floats")
    assert floats["plants_a_float"] == floats["plants_a_week"] / floats["floats_planted_a_week"]
    assert floats["weeks_a_float"] == floats["floats"] / floats["floats_planted_a_week"]
    assert floats["plants_per_m2"] == pytest.approx(floats["sheet"]["holes"] / (4 * 0.3048) ** 2, abs=0.05)
    for depth, gallons in floats["water_us_gallons_a_float"].items():
        litres = gallons * 3.785411784 / floats["plants_a_float"]
        assert floats["water_l_a_plant"][depth] == pytest.approx(litres, abs=0.05)


def test_arithmetic_of_single_figures() -> None:
    """Weights, waters and lights that were computed from printed figures are right."""
    assert table("cornell-lettuce-handbook")["head_g"] == round(5 * 28.349523125)
    chain = table("rutgers-lettuce")
    assert chain["days_from_transplant"] == chain["harvested_on_day"] - chain["transplanted_on_day"]
    assert table("kratky-2023")["water_a_head_l"] == pytest.approx(3.785411784, abs=0.05)
    lamp = table("pennisi-2019")
    assert lamp["dli_mol"] == pytest.approx(lamp["ppfd_umol"] * lamp["photoperiod_hours"] * 3600 / 1e6)
    assert lamp["water_l_per_kg"] == pytest.approx(1000 / lamp["fresh_weight_g_per_l"], abs=0.05)
    columns = table("column-pak-choi")
    grams = columns["kg_per_m2"]["column"] * 1000 / columns["plants_per_m2"]
    assert columns["g_a_plant"] == pytest.approx(grams, abs=0.051)
    light = table("butterhead-photoperiod")
    per_hour = [
        hours * ppfd * 0.0036 for hours, ppfd in zip(light["best_photoperiod_hours"], light["ppfd_umol"], strict=True)
    ]
    assert light["dli_mol"] == pytest.approx(per_hour, abs=0.05)
    assert table("gagne-mattson-2019")["plants_per_m2"] == round(144 / 0.3048**2)


def test_two_sources_agree_on_the_light_of_head_lettuce() -> None:
    """The target of one source is the best treatment of the other, and within the range tried there."""
    lettuce = table("hernandez-2020")["lettuce"]
    least, most = lettuce["dli_mol_tried"]
    assert least < table("gagne-mattson-2019")["target_dli_mol"]["head lettuce"] == lettuce["best_dli_mol"] < most


def test_photons_of_sunlight() -> None:
    """The light share of one source times the photons a joule of the other is the mol a MJ."""
    choices = table("par-per-global")
    share, _ = table("akitsu-2022")["customary_share"]
    per_joule = table("thimijan-heins-1983")["umol_per_j"]["sun and sky"]
    assert choices["mol_per_mj_of_global"]["ours"] == pytest.approx(share * per_joule)
    other = choices["alternative"]
    assert choices["mol_per_mj_of_global"]["alternative"] == pytest.approx(
        other["par_share"] * other["umol_per_j_of_par"]
    )


def test_where_nothing_emerged_few_seedlings_were_normal() -> None:
    """In the emergence trial, temperatures without emergence have fewer normal seedlings than the best ones with it."""
    trial = table("harrington-minges-1954")
    for crop, percents in trial["percent_normal_by_temperature_c"].items():
        days = trial["days_by_temperature_c"][crop]
        emerged = [percent for degrees, percent in percents.items() if isinstance(days.get(degrees), int)]
        none = [percent for degrees, percent in percents.items() if days.get(degrees) == "none"]
        assert max(none, default=0) < max(emerged), crop
