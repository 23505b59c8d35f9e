"""Naming gives each batch a tote and holes: legally, whole where that can be, and as before where it was before."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

import pytest

from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Tote
from steadysow.plan.batch import Batch, Harvest
from steadysow.search.assemble import assemble
from steadysow.search.candidates import Candidates, Step
from steadysow.search.naming import Parcel, Placed, name_totes
from steadysow.search.strands import Strand
from steadysow.standing.standing import Standing
from tiny import NOTHING_BEGUN, day, make_crop, make_garden, make_tote, make_want, proposed

from .by_hand import begun_batch, breaches

HEAD = make_crop(lid_holes=4, window_days=15)
CHARD = make_crop("chard", "cut", between_days=7, window_days=8, grams=(50.0, 50.0), lid_holes=4)
WEAK, STRONG = make_crop("weak", ec=(0.6, 1.0), lid_holes=4), make_crop("strong", ec=(1.8, 2.4), lid_holes=4)
PEPPER = make_crop("pepper", "pick", between_days=7, grams=(50.0, 50.0), lid_holes=4)


def totes(number: int, holes: int = 4, **looks: object) -> list[Tote]:
    """Make alike totes named A, B and so on."""
    return [make_tote(name, holes, **looks) for name in "ABCD"[:number]]  # type: ignore[arg-type]


def candidates_of(
    those: Sequence[Tote], *crops: Crop, standing: Standing = NOTHING_BEGUN, turnaround_days: int = 0
) -> Candidates:
    """Propose crops for totes that are counted together."""
    garden = make_garden(those, [make_want(crops, 4, unit="g")], weeks=6, turnaround_days=turnaround_days)
    return proposed(garden, crops, standing)[0]


def strand(
    candidates: Candidates,
    plants: int,
    start: int,
    end: int,
    *,
    crop: str = "cress",
    sown: int | None = None,
    begun: int | None = None,
) -> Strand:
    """Give plants that stand from one day to another, harvested once."""
    line = next(i for i, line in enumerate(candidates.lines) if line.crop.name == crop)
    step = Step(
        line=line,
        group=0,
        begun=begun,
        entered_day=start,
        from_day=start,
        to_day=end,
        after=0,
        number=1,
        grams=100.0,
        latest_day=end,
    )
    return Strand(
        line=line,
        group=0,
        begun=begun,
        sown_day=start - 7 if sown is None else sown,
        transplant_day=start,
        steps=(step,),
        plants=plants,
    )


def named(candidates: Candidates, *strands: Strand, like: Sequence[Batch] = ()) -> tuple[Placed, ...]:
    """Name strands that can be named."""
    placed = name_totes(candidates, strands, like=like)
    assert placed is not None
    return placed


def plants_in(placed: Iterable[Placed]) -> dict[str, list[int]]:
    """Give the sizes of the batches in each tote, sorted."""
    sizes: dict[str, list[int]] = defaultdict(list)
    for each in placed:
        sizes[each.tote].append(sum(map(len, each.holes)))
    return {tote: sorted(own) for tote, own in sizes.items()}


def holes_of(placed: Placed) -> list[int]:
    """Give all holes of a batch."""
    return sorted(hole for own in placed.holes for hole in own)


def test_parcel_is_split_in_the_order_of_its_strands() -> None:
    """Three of five plants are the first strand and a part of the second; no plant is lost."""
    candidates = candidates_of(totes(1), HEAD)
    first, second = strand(candidates, 2, 7, 14), strand(candidates, 3, 7, 21)
    parcel = Parcel((first, second))

    part, rest = parcel.part(3)

    assert (parcel.plants, parcel.leaves_day) == (5, 21)
    assert part.strands == (first, replace(second, plants=1))
    assert rest.strands == (replace(second, plants=2),)


@pytest.mark.parametrize("system", ["dwc", "kratky"])
def test_every_plant_has_a_hole_to_itself(system: str) -> None:
    """Of eight heads in two totes each stands in a hole of its own."""
    candidates = candidates_of(totes(2, system=system), HEAD)

    placed = named(candidates, strand(candidates, 5, 7, 14), strand(candidates, 3, 7, 14, sown=-7))

    assert Counter((each.tote, hole) for each in placed for hole in holes_of(each)) == Counter(
        (name, hole) for name in "AB" for hole in range(1, 5)
    )


def test_batches_stay_whole_where_they_fit() -> None:
    """Three and one, and two and two, fill two totes of four holes without splitting any."""
    candidates = candidates_of(totes(2), HEAD)
    sizes = (2, 1, 3, 2)

    placed = named(candidates, *(strand(candidates, size, 7, 14, sown=-i) for i, size in enumerate(sizes)))

    assert plants_in(placed) in ({"A": [2, 2], "B": [1, 3]}, {"A": [1, 3], "B": [2, 2]})


@pytest.mark.parametrize("system", ["dwc", "kratky"])
def test_packing_beats_the_rule_of_thumb(system: str) -> None:
    """The largest first, 8 + 3 and 7 + 2 + 2 leave no room for another 2; 8 + 2 + 2 and 7 + 3 + 2 fill twelve holes."""
    candidates = candidates_of(totes(2, holes=12, system=system), replace(HEAD, lid_holes=12))
    sizes = (2, 2, 2, 3, 7, 8)

    placed = named(candidates, *(strand(candidates, size, 7, 14, sown=-i) for i, size in enumerate(sizes)))

    assert sorted(plants_in(placed).values()) == [[2, 2, 8], [2, 3, 7]]


def test_batch_larger_than_a_tote_is_split_in_two() -> None:
    """Six heads need two totes of four holes, and no third."""
    candidates = candidates_of(totes(3), HEAD)

    placed = named(candidates, strand(candidates, 6, 7, 14))

    assert sorted(map(sum, plants_in(placed).values())) == [2, 4]


def test_too_many_plants_find_no_tote() -> None:
    """Nine heads in two totes of four holes cannot be named."""
    candidates = candidates_of(totes(2), HEAD)

    assert name_totes(candidates, [strand(candidates, 9, 7, 14)]) is None


def test_turnaround_keeps_a_hole_empty() -> None:
    """After four heads left on day 14, the tote is full again on day 15 if turnaround takes a day, not on day 14."""
    candidates = candidates_of(totes(1), HEAD, turnaround_days=1)
    first = strand(candidates, 4, 7, 14)

    assert name_totes(candidates, [first, strand(candidates, 1, 14, 21)]) is None
    assert name_totes(candidates, [first, strand(candidates, 4, 15, 21)]) is not None


def test_hole_of_the_day_before_today_is_not_taken() -> None:
    """A hole that was harvested yesterday stays empty through its turnaround."""
    taken = Harvest(on=day(-1), latest_on=day(-1), kind="head", number=1, holes=(2,), plants=1, grams=100.0)
    done = replace(
        begun_batch(HEAD, sown=-15, plants=1, planted=-8, harvests=(taken,)),
        holes=(2,),
        state="done",
        cleared_on=day(-1),
    )
    candidates = candidates_of(totes(1), HEAD, standing=Standing(begun=(done,), next_id=8), turnaround_days=9)

    (early,) = named(candidates, strand(candidates, 3, 7, 14))
    assert holes_of(early) == [1, 3, 4]
    assert name_totes(candidates, [strand(candidates, 4, 7, 14)]) is None


@pytest.mark.parametrize(("plants", "holes"), [(2, [1, 2]), (3, [4, 5, 6]), (4, [1, 2, 4, 5])])
def test_neighbouring_holes_are_taken(plants: int, holes: list[int]) -> None:
    """Round a head in hole 3 of six, two go into 1 and 2, three into 4 to 6; four find no run and take the first."""
    crop = replace(HEAD, lid_holes=6)
    stands = replace(begun_batch(crop, sown=-14, plants=1, planted=-7), holes=(3,))
    candidates = candidates_of(totes(1, holes=6), crop, standing=Standing(begun=(stands,), next_id=8))

    _, new = named(candidates, strand(candidates, 1, -7, 14, begun=0), strand(candidates, plants, 7, 14))

    assert holes_of(new) == holes


def test_heads_of_one_sowing_are_one_batch_whatever_day_they_are_taken() -> None:
    """Two heads taken on day 14 and one on day 21 are a batch; cuts that differ are two."""
    candidates = candidates_of(totes(1), HEAD, CHARD)

    heads = named(candidates, strand(candidates, 2, 7, 14), strand(candidates, 1, 7, 21))
    cuts = named(candidates, strand(candidates, 2, 7, 14, crop="chard"), strand(candidates, 1, 7, 21, crop="chard"))

    assert [len(each.strands) for each in heads] == [2]
    assert [len(each.strands) for each in cuts] == [1, 1]


@pytest.mark.parametrize("crops", [(WEAK, STRONG), (PEPPER, CHARD)], ids=["reservoirs", "fruit"])
def test_crops_that_may_not_meet_stand_apart(crops: tuple[Crop, Crop]) -> None:
    """Two plants each of crops that may not share a tote go into two; in one tote alone they cannot be named."""
    one, other = (crop.name for crop in crops)
    both, single = candidates_of(totes(2), *crops), candidates_of(totes(1), *crops)

    placed = named(both, strand(both, 2, 7, 14, crop=one), strand(both, 2, 7, 14, crop=other))

    assert sorted(plants_in(placed).values()) == [[2], [2]]
    assert name_totes(single, [strand(single, 2, 7, 14, crop=one), strand(single, 2, 7, 14, crop=other)]) is None


def test_fruit_finds_its_tote_before_greens_take_it() -> None:
    """Fruit that is planted a week after greens, which would fit anywhere, still gets a tote to itself."""
    candidates = candidates_of(totes(2), CHARD, PEPPER)
    greens = [strand(candidates, 2, 7, 28, crop="chard", sown=-number) for number in range(2)]

    placed = named(candidates, *greens, strand(candidates, 2, 14, 28, crop="pepper"))

    totes_of = {each.strands[0].line: each.tote for each in placed}
    assert len(totes_of) == 2
    assert len(set(totes_of.values())) == 2


def test_still_tote_is_filled_at_once() -> None:
    """What is planted a week later goes into a still tote that stands empty, though the first has holes to spare."""
    candidates = candidates_of(totes(2, system="kratky"), HEAD)

    placed = named(candidates, strand(candidates, 1, 7, 21), strand(candidates, 1, 14, 21))

    assert plants_in(placed) == {"A": [1], "B": [1]}


def test_few_still_totes_are_filled() -> None:
    """Three and one that are planted together share one still tote, and the other stays empty."""
    candidates = candidates_of(totes(2, system="kratky"), HEAD)

    placed = named(candidates, strand(candidates, 3, 7, 14), strand(candidates, 1, 7, 14, sown=-7))

    assert plants_in(placed) == {"A": [1, 3]}


def test_still_tote_takes_no_more_than_its_water() -> None:
    """Of 3 litres 2.7 may be drunk: two plants of a litre each fit into a tote that is never topped up, not four."""
    dry = totes(2, system="kratky", top_up="never", litres=3.0)
    candidates = candidates_of(dry, HEAD)

    placed = named(candidates, strand(candidates, 4, 7, 14))

    assert plants_in(placed) == {"A": [2], "B": [2]}
    assert name_totes(candidates, [strand(candidates, 5, 7, 14)]) is None


def test_batch_that_stands_stays_in_its_holes() -> None:
    """A begun batch keeps tote and holes; a head of it that was taken has left its hole to others."""
    taken = Harvest(on=day(-1), latest_on=day(-1), kind="head", number=1, holes=(2,), plants=1, grams=100.0)
    stands = begun_batch(HEAD, sown=-15, plants=3, planted=-8, tote="B", harvests=(taken,))
    candidates = candidates_of(totes(2), HEAD, standing=Standing(begun=(stands,), next_id=8))

    placed = named(candidates, strand(candidates, 2, -8, 7, begun=0), strand(candidates, 6, 0, 7))

    (begun,) = (each for each in placed if each.strands[0].begun == 0)
    assert (begun.tote, holes_of(begun)) == ("B", [1, 3])
    others = {(each.tote, hole) for each in placed if each is not begun for hole in holes_of(each)}
    assert others == {*(("A", hole) for hole in range(1, 5)), ("B", 2), ("B", 4)}


def test_waiting_batch_is_not_split() -> None:
    """Seedlings sown together go into one tote; if none holds them all, they cannot be named."""
    waits = begun_batch(HEAD, sown=-7, plants=3)
    candidates = candidates_of(totes(2), HEAD, standing=Standing(begun=(waits,), next_id=8))
    batch = strand(candidates, 3, 0, 7, begun=0)

    (whole, *_) = named(candidates, batch, strand(candidates, 4, 0, 7))
    half_full = [strand(candidates, 2, -7, 7, sown=-14), strand(candidates, 2, -7, 7, sown=-21)]

    assert whole.strands[0].begun == 0
    assert sum(map(len, whole.holes)) == 3
    assert len(named(candidates, *half_full)) == 2
    assert name_totes(candidates, [replace(batch, plants=5)]) is None


def test_waiting_batch_prefers_the_tote_it_was_planned_for() -> None:
    """Where both totes have room, seedlings go where the old plan meant them to."""
    for tote in "AB":
        waits = begun_batch(HEAD, sown=-7, plants=2, tote=tote)
        candidates = candidates_of(totes(2), HEAD, standing=Standing(begun=(waits,), next_id=8))

        (placed,) = named(candidates, strand(candidates, 2, 0, 7, begun=0))

        assert placed.tote == tote


def old_batch(candidates: Candidates, placed: Placed) -> Batch:
    """Give the batch that was made of placed strands."""
    (batch,) = assemble(candidates, [placed], NOTHING_BEGUN)
    return batch


def test_batch_like_an_old_one_takes_its_holes() -> None:
    """What is sown and planted as an old batch was stays in its tote and holes; a larger one takes further holes."""
    candidates = candidates_of(totes(2), HEAD)
    same = strand(candidates, 2, 7, 14)
    old = replace(old_batch(candidates, named(candidates, same)[0]), tote="B", holes=(2, 4))

    (again,) = named(candidates, same, like=[old])
    (larger,) = named(candidates, replace(same, plants=3), like=[old])

    assert (again.tote, holes_of(again)) == ("B", [2, 4])
    assert (larger.tote, holes_of(larger)) == ("B", [1, 2, 4])


def test_old_holes_that_are_taken_are_given_up() -> None:
    """Where a standing batch fills the old tote, the batch goes into another."""
    stands = begun_batch(HEAD, sown=-14, plants=4, planted=-7, tote="B")
    candidates = candidates_of(totes(2), HEAD, standing=Standing(begun=(stands,), next_id=8))
    same = strand(candidates, 2, 7, 14)
    old = replace(old_batch(candidates, Placed(tote="B", strands=(same,), holes=((2, 4),))), id=9)

    placed = named(candidates, strand(candidates, 4, -7, 21, begun=0), same, like=[old])

    assert {each.tote for each in placed if each.strands[0].begun is None} == {"A"}


def step_like(candidates: Candidates, step: Step) -> Step:
    """Give the candidate with the days of a made-up step."""
    days = (step.line, step.from_day, step.to_day, 1)
    return next(each for each in candidates.steps if (each.line, each.from_day, each.to_day, each.number) == days)


@pytest.mark.parametrize("system", ["dwc", "kratky"])
def test_named_plan_is_legal(system: str) -> None:
    """A season of heads and chard in three alike totes, once named, breaks no rule about holes and room."""
    candidates = candidates_of(totes(3, system=system), HEAD, CHARD, turnaround_days=2)
    made_up = [
        *(strand(candidates, 3, 7 * week, 7 * week + 7) for week in (1, 3)),
        *(strand(candidates, 4, 7 * week, 7 * week + 7, crop="chard") for week in (1, 2, 4)),
    ]
    strands = [replace(each, steps=(step_like(candidates, each.steps[0]),)) for each in made_up]

    batches = assemble(candidates, named(candidates, *strands), NOTHING_BEGUN)

    assert len(batches) >= len(strands)
    assert breaches(candidates, batches) == set()
