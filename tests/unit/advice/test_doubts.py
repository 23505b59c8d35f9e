"""Doubts about a garden: one that has none, and the same garden with one thing turned doubtful at a time.

Figures are worked out by hand.  The lids are 25 x 40 cm, a tenth of a square metre; the lamp gives 12 mol a day.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest

from builders import a_crop, a_garden, a_tote
from steadysow.advice.doubts import doubts
from steadysow.inputs.crops import Bolting, Crop, HarvestKind
from steadysow.inputs.garden import (
    Garden,
    Lamp,
    Nursery,
    Outdoors,
    Packet,
    Place,
    Serving,
    Stand,
    Want,
    Window,
)
from steadysow.inputs.recipes import Recipe
from steadysow.inputs.tariff import CheapHours, Tariff


def grown_warm(name: str, species: str, kind: HarvestKind, plants_per_m2: float, grams: tuple[float, ...]) -> Crop:
    """Give a crop whose seeds come up from 5 to 25 degrees, and that grows from 3 to 32 and bolts above 28."""
    return a_crop(
        name,
        kind,
        species=species,
        plants_per_m2=plants_per_m2,
        lid_holes=3,
        emergence=((0.0, None), (5.0, 10.0), (25.0, 3.0), (35.0, None)),
        first_days=20.0,
        between_days=10.0,
        grams=grams,
        grams_per_mol=10.0,
        bolting=Bolting(after_days=14, longest_day_hours=16.0, above_c=28.0),
        litres_a_plant=2.0,
    )


CROPS = (
    grown_warm("butterhead", "Lactuca sativa", "head", 30.0, (70.0,)),
    grown_warm("mizuna", "Brassica rapa", "cut", 40.0, (20.0, 10.0, 10.0)),
    grown_warm("basil", "Ocimum basilicum", "cut", 40.0, (20.0, 10.0, 10.0)),
)
SHELF = Place(name="shelf", lamp=Lamp(dli_mol=12.0, hours=14.0, plants=8), temperature_c=20.0)
DESK = Place(name="desk", lamp=Lamp(dli_mol=12.0, hours=14.0), temperature_c=20.0)
TOTE = a_tote("A", 4, inside_cm=(25.0, 40.0))
SALAD = Want(name="salad", unit="g", amount=60.0, servings=(Serving(crop="mizuna"),))
GARDEN = a_garden(
    TOTE,
    replace(TOTE, name="B"),
    name="Shelf",
    starts_on=None,
    nursery=Nursery(cells=20, place=replace(SHELF, name="nursery")),
    places=(SHELF, DESK),
    wants=(SALAD,),
    crops=CROPS,
)


def want(crop: str, amount: float = 60.0) -> Want:
    """Give the want with another crop or amount."""
    return replace(SALAD, amount=amount, servings=(Serving(crop=crop),))


def still(litres: float = 8.0, **changes: object) -> Garden:
    """Give the garden with two still totes."""
    totes = [replace(tote, system="kratky", litres=litres, **changes) for tote in GARDEN.totes]  # type: ignore[arg-type]
    return replace(GARDEN, totes=tuple(totes))


def at(place: Place) -> Garden:
    """Give the garden with another shelf."""
    return replace(GARDEN, places=(place, DESK))


def test_a_sound_garden_raises_no_doubt() -> None:
    """Where water, room, light, warmth and cells suffice, nothing is doubtful."""
    assert doubts(GARDEN) == ()


@pytest.mark.parametrize(
    ("garden", "sentence"),
    [
        # 4 plants x 2 litres = 8, of 8 litres nine tenths can be drunk: 7.2, which lasts for 3 plants.
        (
            still(),
            "Still totes A and B can each supply 7.2 litres of water. 4 mizuna need 8 litres (2 litres each); the "
            "water is enough for 3 mizuna. Top it up in small portions, or plant fewer.",
        ),
        (
            still(top_up="never"),
            "Still totes A and B can each supply 7.2 litres of water. 4 mizuna need 8 litres (2 litres each); the "
            "water is enough for 3 mizuna. No more are planted, since it is never topped up.",
        ),
        # 0.1 m2 x 30 plants = 3.
        (
            replace(GARDEN, wants=(want("butterhead", 150.0),)),
            "A lid of 25 x 40 cm (totes A and B) has 4 holes, but room for only 3 butterhead as full heads. Keep the "
            "spare holes covered.",
        ),
        # 2 x 0.1 m2 x 12 mol x 7 days = 16.8 mol, at the 10 g a mol of the profile 168 g; 400 g take 40 mol.
        (
            replace(GARDEN, wants=(want("mizuna", 400.0),)),
            "All lids together catch 17 mol of light a week. At 10.0 g a mol that makes 168 g. You ask for 400 g for "
            "salad a week, which takes at least 40 mol. Add light or totes, or ask for less.",
        ),
        # The least of two plants' cuts is 20 g.
        (
            replace(GARDEN, wants=(want("mizuna", 15.0),)),
            "The want salad asks for 15 g a week, but the smallest sowing, 2 plants, gives at least 20 g at a harvest. "
            "Some will spoil, or some weeks get nothing. Lower sowing.smallest.",
        ),
        (
            replace(GARDEN, nursery=replace(GARDEN.nursery, place=replace(GARDEN.nursery.place, temperature_c=30.0))),
            "In the nursery it is 30 °C. Mizuna seeds are not known to come up at that temperature: published figures "
            "run from 5 °C to 25 °C.",
        ),
        (
            at(replace(SHELF, temperature_c=33.0)),
            "At shelf it is 33 °C. Mizuna does not grow at that temperature: it needs more than 3 °C and less than "
            "32 °C.",
        ),
        (
            at(replace(SHELF, temperature_c=29.0)),
            "At shelf mizuna bolts: 14 days of more than 28 °C bring it to flower, and every day is like that.",
        ),
        (
            at(replace(SHELF, lamp=Lamp(dli_mol=12.0, hours=18.0))),
            "At shelf mizuna bolts: 14 days of more than 16 hours of light bring it to flower, and every day is like "
            "that (the lamp runs 18 hours).",
        ),
        (
            at(replace(SHELF, lamp=Lamp(dli_mol=5.0, hours=14.0))),
            "The place shelf is dark: 5.0 mol of light a day is 42% of the 12 mol that the figures for mizuna assume. "
            "Harvests shrink by as much.",
        ),
        # 60 g a week of plants that give 40 g in all: 1.5 plants a week, each two weeks in the nursery.
        (
            replace(GARDEN, nursery=replace(GARDEN.nursery, cells=2)),
            "The wants need about 3 nursery cells at a time, even with the crops that need the fewest. The nursery has "
            "2.",
        ),
        (
            at(replace(SHELF, lamp=Lamp(dli_mol=12.0, hours=14.0, plants=7))),
            "The lamp at shelf lights 7 plants, but the totes there have 8 holes. The plan never puts more plants "
            "there than the lamp lights.",
        ),
    ],
    ids=["dry", "never topped up", "room", "light", "smallest", "seeds", "hot", "bolts", "long days", "dark", "cells",
         "lamp"],
)  # fmt: skip
def test_each_doubt_gives_its_figures(garden: Garden, sentence: str) -> None:
    """One thing turned doubtful makes one sentence, with the figures worked out by hand."""
    # A shelf as warm as that has a reservoir as warm, which is a doubt of its own.
    assert [each for each in doubts(garden) if not each.startswith("Reservoirs")] == [sentence]


def test_crops_without_a_published_figure_count_by_their_profile() -> None:
    """At 10 g a mol 16.8 mol make 168 g of herbs, so that 180 g are too much and 160 g are not."""
    assert doubts(replace(GARDEN, wants=(want("basil", 160.0),))) == ()
    (sentence,) = doubts(replace(GARDEN, wants=(want("basil", 180.0),)))
    assert "makes 168 g. You ask for 180 g for salad a week, which takes at least 18 mol." in sentence


def test_places_without_totes_do_not_matter() -> None:
    """A cold place where no tote stands is not doubtful."""
    cold = replace(DESK, temperature_c=1.0)
    assert doubts(replace(GARDEN, places=(SHELF, cold))) == ()


def test_heads_are_weighed_by_their_profile() -> None:
    """At 10.17 g a mol 16.8 mol make 171 g: two heads of 70 g a week can be had, three cannot."""
    two = replace(want("butterhead"), unit="heads", amount=2.0)
    assert not any("mol" in sentence for sentence in doubts(replace(GARDEN, wants=(two,))))
    three = replace(two, amount=3.0)
    sentences = doubts(replace(GARDEN, wants=(three,)))
    assert any("You ask for 3 heads for salad a week" in sentence for sentence in sentences)


def test_us_units() -> None:
    """In US units volumes and warmth are in gallons and Fahrenheit: 7.2 litres are 1.9 gallons."""
    garden = replace(still(), units="us", places=(replace(SHELF, temperature_c=29.0), DESK))
    first, second, third = doubts(garden)
    assert first.startswith("Still totes A and B can each supply 1.9 gallons of water. 4 mizuna need 2.1 gallons")
    assert second == "At shelf mizuna bolts: 14 days of more than 82 °F bring it to flower, and every day is like that."
    assert third.startswith("Reservoirs at shelf get to 84 °F")


def test_a_warm_reservoir_is_doubtful_for_its_oxygen() -> None:
    """At 28 degrees water holds 7.83 mg of oxygen a litre, at 20 it holds 9.09 (EN 25814); at 25 there is no doubt."""
    (sentence,) = doubts(at(replace(SHELF, temperature_c=28.0)))
    assert sentence == (
        "Reservoirs at shelf get to 28 °C. Water that warm holds at most 7.8 mg of oxygen a litre, not the 9.1 of "
        "water at 20 °C, while roots need more. Above 25 °C they may rot. Shade the totes, or wrap them in something "
        "pale."
    )
    assert doubts(at(replace(SHELF, temperature_c=25.0))) == ()


def test_harvest_days_that_lie_far_apart() -> None:
    """A cut to be taken within 5 days is missed where a week lies between harvest days, and not with two a week."""
    hasty = replace(GARDEN.crops["mizuna"], harvest=replace(GARDEN.crops["mizuna"].harvest, window_days=3))
    crops = {**GARDEN.crops, "mizuna": hasty}
    (sentence,) = doubts(replace(GARDEN, crops=crops))
    assert sentence == (
        "Your harvest days are up to 7 days apart. Some crops must be harvested sooner once they are due: mizuna "
        "within 3 days. Some of their harvests will be lost. Add a harvest day."
    )
    # From Saturday to Wednesday are 4 days, which 3 do not reach; with Monday besides they do.
    (sentence,) = doubts(replace(replace(GARDEN, harvest_days=(2, 5)), crops=crops))
    assert sentence.startswith("Your harvest days are up to 4 days apart.")
    assert doubts(replace(replace(GARDEN, harvest_days=(0, 2, 5)), crops=crops)) == ()


@pytest.mark.parametrize(
    ("garden", "sentence"),
    [
        # 250 x 400 cm are 10 m2: 11 litres stand a ninth of a centimetre deep.
        (
            replace(GARDEN, totes=(replace(TOTE, holes=1, inside_cm=(250.0, 400.0)),)),
            "Tote A would be 0 cm deep by its litres and its lid. Are both right, and is the lid measured in "
            "centimetres (inches)?",
        ),
        # 100 litres on 0.1 m2 are a metre deep.
        (
            replace(GARDEN, totes=(replace(TOTE, litres=100.0),)),
            "Tote A would be 100 cm deep by its litres and its lid.",
        ),
        (
            at(replace(SHELF, lamp=Lamp(dli_mol=115.0, hours=16.0))),
            "The lamp at shelf gives 115 mol a day, as much as summer sun. Is that right?",
        ),
        (
            replace(at(replace(SHELF, window=Window(faces="south", share=1.0))), latitude=20.0),
            "The window at shelf lets in 100% of the light outdoors. Few windows let in half. Is that right?",
        ),
        (
            replace(GARDEN, starts_on=date(2026, 10, 3), packets=(Packet(crop="mizuna", percent=80, packed_in=2052),)),
            "The seeds of mizuna are packed for 2052, a year still to come. Is that right?",
        ),
    ],
    ids=["millimetres", "deep", "sun", "no glass", "future"],
)
def test_odd_measures_are_questioned(garden: Garden, sentence: str) -> None:
    """A slip of the hand that no reader can refuse is a doubt."""
    (found,) = (each for each in doubts(garden) if each.startswith(sentence))
    assert found not in doubts(GARDEN)


def test_totes_at_a_closed_place_are_named() -> None:
    """A tote that stands outdoors by its dates, but before the frosts are over, is named with the days."""
    yard = Place(name="yard", temperature_c=15.0, outdoors=Outdoors(frost_free=((5, 25), (9, 10)), shade=0.5))
    moves = (Stand(place="shelf"), Stand(place="yard", from_md=(5, 1), until_md=(9, 20)))
    garden = replace(
        GARDEN,
        starts_on=date(2027, 3, 6),
        weeks=30,
        latitude=55.0,
        places=(SHELF, DESK, yard),
        totes=(TOTE, replace(TOTE, name="B", stands=moves)),
    )
    closed = (
        "at yard from 1 May to 24 May and 10 Sep to 19 Sep, when the place is not in use. Nothing grows there then."
    )
    (sentence,) = (each for each in doubts(garden) if "not in use" in each)
    assert sentence == (f"Tote B stands {closed} Give it another place for that time, or give the garden a clear_by.")
    both = replace(garden, totes=(replace(TOTE, stands=moves), garden.totes[1]))
    (sentence,) = (each for each in doubts(both) if "not in use" in each)
    assert sentence == (
        f"Totes A and B stand {closed} Give them another place for that time, or give the garden a clear_by."
    )
    fits = (moves[0], replace(moves[1], from_md=(5, 25), until_md=(9, 10)))
    garden = replace(garden, totes=(TOTE, replace(TOTE, name="B", stands=fits)))
    assert not any("not in use" in each for each in doubts(garden))


def test_upkeep_that_nobody_means() -> None:
    """Cheap hours that are dear, a brew that is not diluted, a pump that is never topped up, a count to come."""
    cheap = CheapHours(from_clock=time(22), until_clock=time(7), per_kwh=0.3)
    brew = Recipe(name="brew", parts=(), makes_litres=10.0, water_to_one=0.0, steep_hours=24.0)
    odd = replace(
        still(), tariff=Tariff(currency="EUR", per_kwh=0.2, cheap=(cheap,)), recipes=(brew,), nutrient="brew",
        totes=(replace(TOTE, top_up="never"),), starts_on=date(2026, 10, 3), stock_counted_on=date(2036, 10, 3),
    )  # fmt: skip
    assert set(doubts(odd)) >= {
        "The cheap hours from 22:00 cost no less than the others. Is that right?",
        "The brew brew goes into totes undiluted (water_to_one: 0). Is that right?",
        "Tote A has a pump, so it is topped up anyway. Write top_up: never for still totes only.",
        "The stock was counted on Fri 3 Oct, a day still to come. Is that right?",
    }
    sound = replace(
        odd, tariff=Tariff(currency="EUR", per_kwh=0.4, cheap=(cheap,)), recipes=(replace(brew, water_to_one=5.0),),
        totes=(TOTE,), stock_counted_on=date(2026, 10, 3),
    )  # fmt: skip
    assert not any(word in " ".join(doubts(sound)) for word in ("cheap", "undiluted", "pump", "still to come"))


def test_pots_need_no_cells() -> None:
    """A nursery of two cells is too small for mizuna, but not for mizuna that is sown in its pot."""
    small = replace(GARDEN, nursery=replace(GARDEN.nursery, cells=2))
    potted = replace(GARDEN.crops["mizuna"], sown_in="pot", nursery_days=(0, 0))
    assert len(doubts(small)) == 1
    assert doubts(replace(small, crops={**GARDEN.crops, "mizuna": potted})) == ()


def test_seeds_of_this_year_are_not_from_the_future() -> None:
    """A packet of the year of the first day, or of that of the last, raises no doubt."""
    garden = replace(GARDEN, starts_on=date(2026, 12, 5))
    for year in (2026, 2027):
        assert doubts(replace(garden, packets=(Packet(crop="mizuna", percent=80, packed_in=year),))) == ()


def brief(days: int) -> Garden:
    """Give the garden with mizuna that waits for some days."""
    mizuna = replace(GARDEN.crops["mizuna"], harvest=replace(GARDEN.crops["mizuna"].harvest, window_days=days))
    return replace(GARDEN, crops={**GARDEN.crops, "mizuna": mizuna})


@pytest.mark.parametrize(
    ("garden", "words"),
    [
        (replace(still(), totes=still().totes[:1]), "Still tote A can supply 7.2 litres of water. 4 mizuna need"),
        (
            replace(still(litres=1.0), totes=(replace(still(litres=1.0).totes[0], holes=1),)),
            "1 mizuna needs 2 litres (2 litres each); the water is enough for 0 mizuna.",
        ),
        (at(replace(SHELF, lamp=Lamp(dli_mol=12.0, hours=14.0, plants=1))), "lights 1 plant, but"),
        (
            replace(GARDEN, wants=(want("mizuna", 5.0),), sowing=replace(GARDEN.sowing, smallest=1)),
            "the smallest sowing, 1 plant, gives",
        ),
        (brief(1), "mizuna within 1 day."),
    ],
    ids=["tote", "plant", "lamp", "sowing", "day"],
)
def test_one_is_said_in_the_singular(garden: Garden, words: str) -> None:
    """One tote, one plant and one day are no plural."""
    assert any(words in sentence for sentence in doubts(garden))
