"""A chore by itself: its title, its minutes, and its place in the order of a day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from steadysow.chores.chore import (
    Chore,
    ChoreKind,
    deadline_text,
    minutes_of,
    order_of,
    places_text,
    titled,
    where_text,
)

SATURDAY_ON = date(2026, 11, 28)


def a_chore(kind: ChoreKind, **changes: object) -> Chore:
    """Give a chore of seven plants of bok choy in tote A, on Sat 28 November."""
    chore = Chore(
        key=f"7/{kind}/1", kind=kind, on=SATURDAY_ON, latest_on=SATURDAY_ON, title="", tote="A", holes=(1, 2, 3, 7),
        crop="bok choy", plants=7, cells=8,
    )  # fmt: skip
    return replace(chore, **changes)  # type: ignore[arg-type]


HEADS = a_chore("harvest", harvest="head", number=1)
CUT = a_chore("harvest", harvest="cut", number=1)


@pytest.mark.parametrize(
    ("chore", "title"),
    [
        (a_chore("sow", tote="", holes=()), "Sow 8 cells of bok choy"),
        (a_chore("sow", cells=1), "Sow 1 pot of bok choy in A 1-3, 7"),
        (a_chore("thin", tote="", holes=()), "Thin 8 cells of bok choy"),
        (a_chore("thin"), "Thin 8 pots of bok choy in A 1-3, 7"),
        (a_chore("transplant"), "Plant 7 bok choy into A 1-3, 7"),
        (HEADS, "Harvest 7 whole bok choy in A 1-3, 7"),
        (CUT, "Harvest 7 bok choy (1st cut) in A 1-3, 7"),
        (replace(CUT, number=12), "Harvest 7 bok choy (12th cut) in A 1-3, 7"),
        (replace(CUT, number=0), "Harvest 7 bok choy in A 1-3, 7"),
        (a_chore("harvest", harvest="pick", number=3), "Pick bok choy in A 1-3, 7"),
        (a_chore("clear"), "Clear 7 bok choy in A 1-3, 7"),
        (a_chore("harden"), "Harden off 8 cells of bok choy"),
        (a_chore("care", title="Basil: pinch the tips (B 1)"), "Basil: pinch the tips (A 1-3, 7)"),
        (a_chore("change", title="Change the solution in tote A"), "Change the solution in tote A"),
    ],
)
def test_titles(chore: Chore, title: str) -> None:
    """A title names the work, how many of which crop, and where."""
    assert titled(chore).title == title


def test_a_title_names_all_totes() -> None:
    """A merged chore names every tote, with its holes if it is a chore of plants."""
    places = (("A", (1, 2)), ("B", ()))
    assert titled(replace(CUT, places=places)).title == "Harvest 7 bok choy (1st cut) in A 1-2; B"
    fill = a_chore("fill", title="Fill tote A", tote="A, B", places=(("A", ()), ("B", ())))
    assert titled(fill).title == "Fill totes A, B"


@pytest.mark.parametrize(("days", "text"), [(0, ""), (1, " by Sun"), (6, " by Fri"), (7, " by Sat 5 Dec")])
def test_a_title_names_the_last_day(days: int, text: str) -> None:
    """Within a week the weekday alone says which day is the last."""
    chore = replace(HEADS, latest_on=SATURDAY_ON + timedelta(days))
    assert deadline_text(chore) == text
    assert titled(chore).title == f"Harvest 7 whole bok choy{text} in A 1-3, 7"


def test_places_in_titles_and_sentences() -> None:
    """A title has a tote and its holes without words; a sentence has them with words."""
    assert places_text(CUT) == "A 1-3, 7"
    assert (where_text("A", (1, 2, 3, 7)), where_text("B", (4,))) == ("tote A, holes 1-3, 7", "tote B, hole 4")


def test_minutes_count_plants_cells_litres_and_totes() -> None:
    """Thinning takes 1 minute and 0.2 a cell, a brew 10, a top-up 1.5 a tote and 0.3 a litre, a round 1.5 a tote."""
    two = (("A", ()), ("B", ()))
    assert minutes_of(a_chore("thin")) == pytest.approx(1 + 0.2 * 8)
    assert minutes_of(a_chore("brew", litres=9.0)) == 10.0
    assert minutes_of(a_chore("top-up", litres=4.0)) == pytest.approx(1.5 + 0.3 * 4)
    assert minutes_of(a_chore("top-up", litres=4.0, places=two)) == pytest.approx(2 * 1.5 + 0.3 * 4)
    assert minutes_of(a_chore("check", places=two)) == pytest.approx(2 + 1.5 * 2)


def test_plants_leave_before_others_enter() -> None:
    """Chores of a day are sorted by the kind of work; an earlier day comes first, whatever the work."""
    chores = [a_chore("sow"), a_chore("transplant"), a_chore("clear"), CUT]
    early = a_chore("sow", on=SATURDAY_ON - timedelta(1))
    assert [chore.kind for chore in sorted([*chores, early], key=order_of)] == [
        "sow", "harvest", "clear", "transplant", "sow"
    ]  # fmt: skip
