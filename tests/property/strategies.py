"""Made-up crops, weather, places and tiny gardens for the property tests: anything a profile or a garden may hold."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, get_args

from hypothesis import strategies as st

from builders import a_crop
from steadysow.growth.daylight import Conditions
from steadysow.inputs.composition import ELEMENTS, SALTS, shares_of
from steadysow.inputs.crops import Bolting, Crop, Growth, HarvestFigures, HarvestKind, System
from steadysow.inputs.garden import (
    Away,
    Facing,
    Garden,
    Lamp,
    MonthDay,
    Months,
    Outdoors,
    Place,
    Serving,
    Sky,
    Tote,
    Window,
)
from steadysow.inputs.recipes import Part, Recipe
from tiny import SATURDAY, WEDNESDAY, day, make_crop, make_garden, make_tote, make_want

FIRST_ON = date(2026, 10, 5)
DAYS = 160


def numbers(least: float, most: float) -> st.SearchStrategy[float]:
    """Give decimals with one digit, as people write them."""
    return st.integers(round(least * 10), round(most * 10)).map(lambda tenths: tenths / 10)


@st.composite
def boltings(draw: st.DrawFn) -> Bolting:
    """Give a longest day, a warmest day or both, and days beyond them."""
    longest, warmest = draw(st.sampled_from(((True, False), (False, True), (True, True))))
    return Bolting(
        after_days=draw(st.integers(1, 40)),
        longest_day_hours=draw(numbers(8, 18)) if longest else None,
        above_c=draw(numbers(10, 35)) if warmest else None,
    )


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
        bolting=draw(st.none() | boltings()),
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
def harvests(draw: st.DrawFn) -> HarvestFigures:
    """Give heads, cuts or fruit."""
    kind: HarvestKind = draw(st.sampled_from(get_args(HarvestKind)))
    many = kind != "head"
    return HarvestFigures(
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
    return a_crop(
        "made-up crop",
        species="Planta ficta",
        plants_per_m2=25,
        sown_in=sown_in,
        seeds_a_cell=2,
        emergence=draw(emergence_tables()),
        germination_percent=80,
        germination_c=(0, 15, 25, 40),
        nursery_days=(least, least + draw(st.integers(0, 14))) if sown_in == "nursery" else (0, 0),
        transplant_shock_days=draw(st.integers(0, 5)),
        harvest=draw(harvests()),
        growth=draw(growths()),
        litres_a_plant=4,
    )


def steady(temperature_c: float, dli_mol: float, days: int = 400) -> Conditions:
    """Give the same day again and again."""
    return Conditions(first_on=FIRST_ON, temperature_c=(temperature_c,) * days, dli_mol=(dli_mol,) * days)


@st.composite
def weather(draw: st.DrawFn, least_c: float = -5, most_c: float = 42) -> Conditions:
    """Give `DAYS` days in a few spells, each of one temperature, light and length of the day."""
    spell = st.tuples(st.integers(1, 60), numbers(least_c, most_c), numbers(0, 40), numbers(0, 24))
    spells = draw(st.lists(spell, min_size=1, max_size=5))
    # The last spell holds to the end.
    lengths = [*(length for length, *_ in spells[:-1]), DAYS]
    days = [day for length, (_, *day) in zip(lengths, spells, strict=True) for _ in range(length)][:DAYS]
    temperature_c, dli_mol, day_hours = zip(*days, strict=True)
    return Conditions(first_on=FIRST_ON, temperature_c=temperature_c, dli_mol=dli_mol, day_hours=day_hours)


# Every day of a common year and of a leap year.
dates = st.integers(0, 730).map(lambda days: date(2027, 1, 1) + timedelta(days=days))

# From pole to pole, but for the poles themselves, where the sun has no east and no west.
latitudes = numbers(-89.9, 89.9)

shares = st.integers(1, 100).map(lambda percent: percent / 100)
clouds = st.integers(0, 100).map(lambda percent: percent / 100)
facings: st.SearchStrategy[Facing] = st.sampled_from(get_args(Facing))


@st.composite
def skies(draw: st.DrawFn) -> Sky:
    """Give a latitude and clouds, for all days or month by month."""
    by_month = st.lists(clouds, min_size=12, max_size=12).map(tuple)
    return Sky(latitude=draw(latitudes), clouds=draw(clouds | by_month))


@st.composite
def lamps(draw: st.DrawFn, *, may_fill_up: bool = False) -> Lamp:
    """Give a lamp that runs its hours or, where it may, only until the day's light is enough."""
    ppfd, hours = float(draw(st.integers(20, 600))), draw(numbers(1, 24))
    up_to_mol = draw(st.none() | numbers(1, 40)) if may_fill_up else None
    return Lamp(dli_mol=ppfd * hours * 0.0036, ppfd=ppfd, hours=hours, up_to_dli_mol=up_to_mol)


@st.composite
def months(draw: st.DrawFn) -> Months:
    """Give a temperature for each month, or for some of them."""
    values = st.lists(st.none() | numbers(-5, 35), min_size=12, max_size=12)
    return tuple(draw(values.filter(lambda given: any(each is not None for each in given))))


@st.composite
def month_days(draw: st.DrawFn) -> MonthDay:
    """Give a day of a common year."""
    day = date(2027, 1, 1) + timedelta(days=draw(st.integers(0, 364)))
    return day.month, day.day


@st.composite
def places(draw: st.DrawFn) -> Place:
    """Give a shelf under a lamp, a window with or without one, or a place outdoors."""
    kind = draw(st.sampled_from(("shelf", "window", "lit window", "outdoors")))
    frost_free = draw(st.tuples(month_days(), month_days()).filter(lambda span: span[0] != span[1]))
    shade = draw(st.integers(0, 100)) / 100
    return Place(
        name=kind,
        temperature_c=draw(numbers(-5, 35) | months()),
        lamp=draw(lamps(may_fill_up=kind == "lit window")) if kind in ("shelf", "lit window") else None,
        window=Window(faces=draw(facings), share=draw(shares)) if kind in ("window", "lit window") else None,
        outdoors=Outdoors(frost_free=frost_free, shade=shade) if kind == "outdoors" else None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A garden small enough to be planned many times over, with the crops it grows."""

    garden: Garden
    crops: tuple[Crop, ...]


@st.composite
def quick_crops(draw: st.DrawFn, name: str) -> Crop:
    """Give a crop that is harvested for the first time two to four weeks after sowing."""
    kind: HarvestKind = draw(st.sampled_from(("head", "head", "cut", "pick")))
    harvests = 1 if kind == "head" else 3
    sown_in: Literal["nursery", "pot"] = draw(st.sampled_from(("nursery", "nursery", "pot")))
    return make_crop(
        name,
        kind,
        nursery_days=(7, draw(st.sampled_from((7, 10, 14)))),
        first_days=draw(st.sampled_from((7, 9, 14))),
        between_days=0 if kind == "head" else draw(st.sampled_from((5, 7))),
        window_days=draw(st.integers(1, 10)),
        grams=tuple(draw(st.integers(4, 12)) * 10.0 for _ in range(harvests)),
        lid_holes=draw(st.integers(2, 4)),
        keeps_days=draw(st.integers(1, 14)),
        ec=draw(st.sampled_from(((0.8, 1.6), (1.2, 2.4), (1.8, 2.6)))),
        litres_a_plant=draw(st.sampled_from((1.0, 3.0))),
        sown_in=sown_in,
    )


@st.composite
def small_totes(draw: st.DrawFn, name: str) -> Tote:
    """Give a tote of one to four holes."""
    system: System = draw(st.sampled_from(("dwc", "dwc", "kratky")))
    return make_tote(name, draw(st.integers(1, 4)), system, top_up=draw(st.sampled_from(("small", "never"))))


@st.composite
def plots(draw: st.DrawFn, *, most_totes: int = 3, most_weeks: int = 6) -> Plot:
    """Give one to three totes, one or two wants, and three to six weeks, or fewer at the most."""
    crops = tuple(draw(quick_crops(name)) for name in draw(st.sampled_from((("cress",), ("cress", "mizuna")))))
    totes = [draw(small_totes(name)) for name in "ABC"[: draw(st.integers(1, most_totes))]]
    if draw(st.booleans()):
        totes = [make_tote(tote.name, totes[0].holes, totes[0].system, top_up=totes[0].top_up) for tote in totes]
    most = draw(st.sampled_from((0.5, 1.0, 1.0)))
    servings = [Serving(crop=crops[0].name, most=most), *(Serving(crop=crop.name) for crop in crops[1:])]
    wants = [make_want(servings, draw(st.integers(5, 30)) * 10.0, unit="g")]
    if len(crops) == 2 and draw(st.booleans()):
        importance = draw(st.sampled_from((1.0, 3.0)))
        wants.append(make_want(crops[1:], 80.0, name="pan", unit="g", importance=importance))
    away_from = draw(st.none() | st.integers(7, 30))
    away_days = draw(st.integers(1, 9))
    away = () if away_from is None else (Away(from_on=day(away_from), back_on=day(away_from + away_days)),)
    garden = make_garden(
        totes,
        wants,
        weeks=draw(st.integers(3, most_weeks)),
        chore_days=draw(st.sampled_from(((SATURDAY,), (WEDNESDAY, SATURDAY)))),
        harvest_days=draw(st.sampled_from(((SATURDAY,), (WEDNESDAY, SATURDAY)))),
        away=away,
        every_days=draw(st.sampled_from((3, 7, 10))),
        smallest=draw(st.integers(1, 2)),
        crops_a_day=draw(st.integers(1, 2)),
        cells=draw(st.sampled_from((2, 60))),
        turnaround_days=draw(st.integers(0, 4)),
        tidy_points=draw(st.sampled_from((0.0, 1.0, 10.0))),
        lights=draw(st.sampled_from((None, 3))),
        chore_minutes_a_week=draw(st.sampled_from((None, None, 15.0, 30.0))),
    )
    return Plot(garden=garden, crops=crops)


@st.composite
def parts(draw: st.DrawFn) -> Part:
    """Give a salt, a powder by its label, or something of which nothing is known."""
    known_by = draw(st.sampled_from(("salt", "label", "nothing")))
    salt, grams = draw(st.sampled_from(tuple(SALTS))), draw(numbers(0.1, 500))
    if known_by == "salt":
        return Part(name=salt, grams=grams, ml=None, known_by="salt", content=tuple(shares_of(SALTS[salt]).items()))
    if known_by == "label":
        shares = draw(st.dictionaries(st.sampled_from(tuple(ELEMENTS)), st.floats(0, 0.07), min_size=1))
        return Part(name="powder", grams=grams, ml=None, known_by="label", content=tuple(shares.items()))
    is_liquid = draw(st.booleans())
    return Part(
        name="castings", grams=None if is_liquid else grams, ml=grams if is_liquid else None, known_by="nothing"
    )


@st.composite
def recipes(draw: st.DrawFn) -> Recipe:
    """Give a brew, or a recipe whose parts go straight into tote water."""
    inside = tuple(draw(st.lists(parts(), min_size=1, max_size=4)))
    if draw(st.booleans()):
        return Recipe(name="direct", parts=inside)
    return Recipe(
        name="brew",
        parts=inside,
        makes_litres=draw(numbers(0.5, 200)),
        water_to_one=draw(numbers(0, 20)),
        steep_hours=24,
    )
