"""Made-up crops and weather for the property tests: anything a profile may hold."""

from datetime import date
from typing import Literal, get_args

from hypothesis import strategies as st

from steadysow.growth.timeline import Conditions
from steadysow.inputs.crops import Band, Crop, Growth, Harvest, HarvestKind

FIRST_ON = date(2026, 10, 5)
DAYS = 160


def numbers(least: float, most: float) -> st.SearchStrategy[float]:
    """Give decimals with one digit, as people write them."""
    return st.integers(round(least * 10), round(most * 10)).map(lambda tenths: tenths / 10)


@st.composite
def growths(draw: st.DrawFn) -> Growth:
    """Give an answer to warmth and light whose days hold somewhere between base and optimum."""
    base_c = draw(numbers(-2, 12))
    optimum_c = base_c + draw(numbers(8, 22))
    return Growth(
        base_c=base_c,
        optimum_c=optimum_c,
        ceiling_c=optimum_c + draw(numbers(0, 10)),
        at_c=base_c + (optimum_c - base_c) * draw(st.sampled_from((0.3, 0.5, 0.8, 0.95))),
        at_dli_mol=draw(numbers(4, 25)),
        half_dli_mol=draw(st.just(0.0) | numbers(0.5, 15)),
        grams_per_mol=draw(numbers(1, 15)),
        longest_day_hours=None,
        bolts_above_c=None,
    )


@st.composite
def emergence_tables(draw: st.DrawFn) -> tuple[tuple[float, float | None], ...]:
    """Give days to emergence every 5 degree C from 0 to 40, with none at some of the ends."""
    temperatures_c = [5.0 * step for step in range(9)]
    coldest, warmest = sorted(draw(st.lists(st.integers(0, 8), min_size=2, max_size=2, unique=True)))
    days = draw(st.lists(st.integers(1, 40), min_size=9, max_size=9))
    return tuple(
        (temperature_c, float(days[step]) if coldest <= step <= warmest else None)
        for step, temperature_c in enumerate(temperatures_c)
    )


@st.composite
def harvests(draw: st.DrawFn) -> Harvest:
    """Give heads, cuts or fruit."""
    kind: HarvestKind = draw(st.sampled_from(get_args(HarvestKind)))
    many = kind != "head"
    return Harvest(
        kind=kind,
        first_days=draw(st.integers(6, 60)),
        between_days=draw(st.integers(3, 20)) if many else 0,
        window_days=draw(st.integers(1, 14)),
        grams=tuple(draw(st.lists(numbers(5, 300), min_size=1, max_size=6 if many else 1))),
    )


@st.composite
def crops(draw: st.DrawFn) -> Crop:
    """Give a crop of any kind, sown in the nursery or in its pot."""
    sown_in: Literal["nursery", "pot"] = draw(st.sampled_from(("nursery", "pot")))
    least = draw(st.integers(5, 40)) if sown_in == "nursery" else 0
    return Crop(
        name="made-up crop",
        species="Planta ficta",
        systems=("dwc", "kratky"),
        plants_per_m2=25,
        lid_holes=6,
        sown_in=sown_in,
        seeds_a_cell=2,
        plants_a_hole=1,
        emergence=draw(emergence_tables()),
        germination_percent=80,
        germination_c=(0, 15, 25, 40),
        nursery_days=(least, least + draw(st.integers(0, 14))) if sown_in == "nursery" else (0, 0),
        transplant_shock_days=draw(st.integers(0, 5)),
        harvest=draw(harvests()),
        growth=draw(growths()),
        ec=Band(ideal=(1.2, 1.8), tolerated=(0.8, 2.4)),
        ph=Band(ideal=(5.6, 6.2), tolerated=(5.2, 7.0)),
        litres_a_plant=4,
        keeps_days=7,
        days_spread=0.1,
        grams_spread=0.2,
    )


def steady(temperature_c: float, dli_mol: float, days: int = 400) -> Conditions:
    """Give the same day again and again."""
    return Conditions(first_on=FIRST_ON, temperature_c=(temperature_c,) * days, dli_mol=(dli_mol,) * days)


@st.composite
def weather(draw: st.DrawFn, least_c: float = -5, most_c: float = 42) -> Conditions:
    """Give `DAYS` days in a few spells, each of one temperature and light."""
    spells = draw(
        st.lists(st.tuples(st.integers(1, 60), numbers(least_c, most_c), numbers(0, 40)), min_size=1, max_size=5)
    )
    # The last spell holds to the end.
    lengths = [*(length for length, _, _ in spells[:-1]), DAYS]
    return Conditions(
        first_on=FIRST_ON,
        temperature_c=tuple(c for length, (_, c, _) in zip(lengths, spells, strict=True) for _ in range(length))[:DAYS],
        dli_mol=tuple(mol for length, (_, _, mol) in zip(lengths, spells, strict=True) for _ in range(length))[:DAYS],
    )
