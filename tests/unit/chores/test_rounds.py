"""The chores of the whole garden: weekly rounds, brews, timers, orders, absences; plans are made by hand."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from cellar import CROPS, PLANTED_ON, SHELF, SOWN_ON, a_batch, a_garden, a_plan, chores_of, heads
from steadysow.chores.chore import Chore, ChoreKind
from steadysow.chores.listing import list_chores
from steadysow.inputs.crops import Band, Crop
from steadysow.inputs.garden import Away, Garden, Lamp, Nursery
from steadysow.inputs.journal import Fact
from steadysow.inputs.stock import Item
from steadysow.plan.batch import Batch


def away(from_on: date, back_on: date) -> tuple[Away, ...]:
    """Give one absence."""
    return (Away(from_on=from_on, back_on=back_on),)


def of_kind(kind: ChoreKind, *batches: Batch, garden: Garden | None = None) -> dict[str, Chore]:
    """Give the chores of one kind by key."""
    return {key: chore for key, chore in chores_of(*batches, garden=garden).items() if chore.kind == kind}


# The weekly round.


def test_there_is_one_round_a_week_while_plants_stand() -> None:
    """Plants of the fourth to the eighth week have five rounds, each on Saturday, when weeks begin."""
    rounds = of_kind("check", a_batch())
    assert {key: chore.on for key, chore in rounds.items()} == {
        f"round/check/{number}": SOWN_ON + timedelta(weeks=number - 1) for number in (4, 5, 6, 7, 8)
    }
    assert {chore.latest_on - chore.on for chore in rounds.values()} == {timedelta(6)}


@pytest.mark.parametrize(
    ("back_on", "on"),
    [
        # The first day of work at home in that week, Wed 4 November.
        (date(2026, 11, 1), date(2026, 11, 4)),
        (date(2026, 11, 4), date(2026, 11, 4)),
        # No day of work is left in it, but two at home.
        (date(2026, 11, 5), date(2026, 11, 5)),
        (date(2026, 11, 7), None),
    ],
)
def test_the_round_is_made_on_the_first_day_of_work_at_home(back_on: date, on: date | None) -> None:
    """An absence from Sat 31 October, the first day of the fifth week, delays the round, or leaves it out."""
    rounds = of_kind("check", a_batch(), garden=a_garden(away=away(date(2026, 10, 31), back_on)))
    assert ("round/check/5" in rounds) == (on is not None)
    assert on is None or rounds["round/check/5"].on == on
    assert "round/check/6" in rounds


def with_bands(name: str, ph: Band, ec: Band) -> Crop:
    """Give a crop with its ranges of pH and EC."""
    return replace(CROPS[name], ph=ph, ec=ec)


def test_the_round_names_what_suits_all_crops_of_a_tote() -> None:
    """Ideal pH 5.5 to 6.5 and 6 to 7 share 6 to 6.5; for EC 1 to 1.4 and 1.6 to 2 only tolerated values are shared.

    The still tote holds only lettuce, with other ranges: it has a line of its own, and no pump.
    """
    crops = {
        "mizuna": with_bands(
            "mizuna",
            Band(ideal=(5.5, 6.5), tolerated=(5.0, 7.0)),
            Band(ideal=(1.0, 1.4), tolerated=(0.8, 1.8)),
        ),
        "basil": with_bands(
            "basil",
            Band(ideal=(6.0, 7.0), tolerated=(5.0, 7.5)),
            Band(ideal=(1.6, 2.0), tolerated=(1.2, 2.4)),
        ),
        "butterhead lettuce": with_bands(
            "butterhead lettuce",
            Band(ideal=(5.6, 6.2), tolerated=(5.6, 6.2)),
            Band(ideal=(0.8, 1.2), tolerated=(0.8, 1.2)),
        ),
    }
    plan = a_plan(a_batch(), a_batch(13, (7, 8), crop="basil"), heads())
    rounds = {
        chore.key: chore for chore in list_chores(replace(a_garden(), crops=crops), plan) if chore.kind == "check"
    }
    chore, last = rounds["round/check/4"], rounds["round/check/9"]
    assert chore.title == "Check pH, EC, pests and pumps"
    assert chore.detail[:2] == (
        "Tote A: pH 6 to 6.5, EC 1.2 to 1.8 mS/cm (tolerated, not ideal).",
        "Tote F: pH 5.6 to 6.2, EC 0.8 to 1.2 mS/cm.",
    )
    assert chore.detail[-1].startswith("Tote A: make sure that the pump runs")
    # Tote A is empty from 28 November on, so in the last week only the heads stand.
    assert last.title == "Check pH, EC and pests"
    assert (last.tote, chore.tote) == ("F", "A, F")
    # Two minutes for the walk, and one and a half at each tote.
    assert (last.minutes, chore.minutes) == (3.5, 5.0)


def test_the_round_says_if_no_ec_suits_all_crops() -> None:
    """Two crops that share no EC stand in both totes: one line for both says so."""
    far = with_bands("basil", CROPS["basil"].ph, Band(ideal=(3.0, 4.0), tolerated=(3.0, 4.0)))
    plan = a_plan(
        *(a_batch(id, (id,), tote=tote, crop=crop) for id, tote, crop in [
            (1, "A", "mizuna"), (2, "A", "basil"), (3, "F", "mizuna"), (4, "F", "basil")
        ])
    )  # fmt: skip
    chores = list_chores(replace(a_garden(), crops=CROPS | {"basil": far}), plan)
    chore = next(chore for chore in chores if chore.key == "round/check/4")
    assert chore.detail[0] == "Totes A and F: pH 5.5 to 6.5, no EC suits all."


# Brews.

BREW = a_garden(nutrient="castings brew")


def test_one_brew_serves_all_totes_of_a_day() -> None:
    """Two totes of 11 litres that are planted on Sat 24 October have one brew, begun the day before.

    One part of brew to five of water takes 22 / 6 = 3.67 litres of brew.  Straining loses a tenth, so 4.07 steep.
    The shipped recipe has 800 g of castings and 15 g of Epsom salt in 10 litres, here times 0.407.
    """
    brews = of_kind("brew", a_batch(), heads(), garden=BREW)
    (key,) = (key for key, chore in brews.items() if chore.on < PLANTED_ON)
    chore = brews[key]
    assert (key, chore.on, chore.title) == ("A/12/brew/fill1", date(2026, 10, 23), "Brew 4.1 litres of castings brew")
    assert chore.litres == pytest.approx(22 / 6 / 0.9, abs=0.001)
    assert chore.detail[0] == "Steep 326 g of worm castings and 6.11 g of Epsom salt in 4.1 litres of water."
    assert chore.detail[1] == "Strain the brew on Sat 24 Oct, for totes A and F."


def test_every_feed_has_one_brew() -> None:
    """Each day on which totes are fed has one brew the day before; with a powder there is no brew."""
    chores = chores_of(a_batch(), heads(), garden=BREW).values()
    fed_on = {chore.on for chore in chores if chore.kind in ("fill", "change", "feed")}
    assert [chore.on for chore in chores if chore.kind == "brew"] == sorted(on - timedelta(1) for on in fed_on)
    assert of_kind("brew", a_batch(), heads()) == {}


@pytest.mark.parametrize(
    ("from_on", "on", "second"),
    [
        (date(2026, 10, 23), date(2026, 10, 22), "Strain the brew on Sat 24 Oct, for tote A."),
        (
            date(2026, 10, 22),
            PLANTED_ON,
            "The brew is ready on Sun 25 Oct. Use plain water today. Replace part of it with brew then.",
        ),
    ],
)
def test_a_brew_is_begun_while_somebody_is_at_home(from_on: date, on: date, second: str) -> None:
    """A brew is begun one day early if nobody is at home, and never two days early, since it goes foul."""
    garden = replace(BREW, away=away(from_on, PLANTED_ON))
    chore = of_kind("brew", a_batch(), garden=garden)["A/12/brew/fill1"]
    assert (chore.on, chore.detail[1]) == (on, second)


def test_a_brew_is_recorded_by_the_feeds_of_all_its_totes() -> None:
    """A brew for two totes is recorded only if the journal has both as fed."""
    facts = [Fact(number=number, kind="fed", on=PLANTED_ON, tote=tote) for number, tote in ((1, "A"), (2, "F"))]
    for recorded in (facts[:1], facts):
        brew = chores_of(a_batch(), heads(), garden=BREW, facts=recorded)["A/12/brew/fill1"]
        assert brew.is_recorded == (len(recorded) == 2)


# Leaving.


def test_an_absence_has_a_chore_the_day_before() -> None:
    """An absence from Sat 7 November, with plants in tote A, has a chore on Friday, which is no day of work."""
    garden = a_garden(away=away(date(2026, 11, 7), date(2026, 11, 14)))
    (leave,) = of_kind("leave", a_batch(), garden=garden).values()
    assert (leave.key, leave.on) == ("away/leave/2026-11-07", date(2026, 11, 6))
    assert leave.title == "Before you leave (back Sat 14 Nov)"


def test_an_absence_without_plants_has_no_chore() -> None:
    """Weeks after all plants were cleared, an absence needs no care."""
    assert of_kind("leave", a_batch(), garden=a_garden(away=away(date(2026, 12, 20), date(2026, 12, 30)))) == {}


@pytest.mark.parametrize(("unattended_days", "is_named"), [(4, True), (9, True), (10, False)])
def test_trays_that_would_dry_are_named(unattended_days: int, is_named: bool) -> None:
    """Seedlings wait in the nursery for ten days from Sat 10 October, longer than a tray stays moist or not."""
    garden = a_garden(away=away(date(2026, 10, 10), date(2026, 10, 20)), unattended_days=unattended_days)
    leave = of_kind("leave", a_batch(), garden=garden).values()
    dry_on = {4: "Wed 14 Oct", 9: "Mon 19 Oct"}.get(unattended_days)
    assert ["6 cells of mizuna are in the nursery" in each.detail[0] for each in leave] == [True] * is_named
    assert all(f"water it by {dry_on}, or" in each.detail[0] for each in leave)


def test_absences_in_a_row_have_one_chore() -> None:
    """Nobody is at home on the day before the second absence; earlier absences change no key of a later one."""
    first, second = away(date(2026, 11, 7), date(2026, 11, 10)), away(date(2026, 11, 10), date(2026, 11, 14))
    third = away(date(2026, 11, 20), date(2026, 11, 23))
    assert list(of_kind("leave", a_batch(), garden=a_garden(away=(*first, *second)))) == ["away/leave/2026-11-07"]
    alone = of_kind("leave", a_batch(), garden=a_garden(away=third))
    among = of_kind("leave", a_batch(), garden=a_garden(away=(*third, *first)))
    assert set(alone) == {"away/leave/2026-11-20"}
    assert set(among) == {"away/leave/2026-11-07", "away/leave/2026-11-20"}


# Timers.

LAMP = Lamp(dli_mol=11.0, ppfd=220.0, hours=14.0)


def lit_garden(*, has_own_nursery: bool = False) -> Garden:
    """Give a garden whose lamps have timers; its nursery is the shelf, or has a lamp of its own."""
    shelf = replace(SHELF, lamp=LAMP)
    nursery = replace(shelf, name="nursery") if has_own_nursery else shelf
    return a_garden(places=(shelf,), nursery=Nursery(cells=60, place=nursery))


def test_a_timer_is_set_when_plants_come_and_go() -> None:
    """The lamp runs 14 hours from six in the morning, from the first sowing until the tote is cleared."""
    timers = of_kind("timer", a_batch(), garden=lit_garden())
    assert {key: chore.title for key, chore in timers.items()} == {
        "shelf/timer/1": "Lamp at shelf: 06:00 to 20:00",
        "shelf/timer/2": "Lamp at shelf: off",
    }
    assert of_kind("timer", a_batch()) == {}, "without hours there is no timer"


def test_the_nursery_has_a_timer_of_its_own() -> None:
    """The nursery lamp runs from sowing until planting; the lamp of the shelf runs from planting on."""
    timers = of_kind("timer", a_batch(), garden=lit_garden(has_own_nursery=True)).values()
    assert {(chore.on, chore.title) for chore in timers} == {
        (SOWN_ON, "Nursery lamp: 06:00 to 20:00"),
        (PLANTED_ON, "Lamp at shelf: 06:00 to 20:00"),
        (PLANTED_ON, "Nursery lamp: off"),
        (date(2026, 11, 28), "Lamp at shelf: off"),
    }


def test_timers_stay_what_they_are_when_planned_again() -> None:
    """A plan that is made seven weeks later has the same settings under the same keys, past ones included."""
    garden = lit_garden()
    first = a_plan(a_batch())
    later = replace(first, made_on=date(2026, 11, 21), from_on=date(2026, 11, 21))
    before, after = ([chore for chore in list_chores(garden, plan) if chore.kind == "timer"] for plan in (first, later))
    assert before == after
    assert before


# Orders.

LATER = a_batch(
    13, state="sown", sown_on=date(2026, 10, 31), transplanted_on=None, cleared_on=None, harvests=(), emerges_on=None
)
SEEDS = Item(name="mizuna", measure="seeds", have=20.0, pack=10.0, price=2.0)


def ordered(stock: Item, counted_on: date, *absent: Away) -> Chore | None:
    """Give the order of mizuna seeds of a plan that sows 12 on 3 and 12 on 31 October; delivery takes 7 days."""
    garden = a_garden(stock=(stock,), stock_counted_on=counted_on, order_days=7, away=absent)
    return chores_of(a_batch(), LATER, garden=garden).get("order/mizuna/1")


def test_an_order_comes_in_time_for_the_day_the_stock_runs_short() -> None:
    """20 seeds are enough for the first sowing, not for the second on Sat 31 October: order one pack 7 days before."""
    order = ordered(SEEDS, SOWN_ON)
    assert order is not None
    assert (order.on, order.latest_on, order.title) == (
        date(2026, 10, 24),
        date(2026, 10, 31),
        "Order mizuna seeds",
    )
    assert order.detail == ("Your stock lasts until Sat 31 Oct. Delivery takes 7 days. Order 1 pack.",)


def test_a_delivery_of_one_day_is_singular() -> None:
    """With one day of delivery an order is due on the day before the stock runs short."""
    garden = a_garden(stock=(SEEDS,), stock_counted_on=SOWN_ON, order_days=1)
    order = chores_of(a_batch(), LATER, garden=garden)["order/mizuna/1"]
    assert order.on == date(2026, 10, 30)
    assert "Delivery takes 1 day." in order.detail[0]


@pytest.mark.parametrize(("have", "is_ordered"), [(23.0, True), (24.0, False), (100.0, False)])
def test_nothing_is_ordered_that_is_enough(have: float, is_ordered: bool) -> None:
    """The two sowings take 24 seeds."""
    assert (ordered(replace(SEEDS, have=have), SOWN_ON) is not None) == is_ordered


@pytest.mark.parametrize(
    ("counted_on", "absent", "on"),
    [
        # In time, but nobody is at home on that day: the last day at home before it.
        (SOWN_ON, away(date(2026, 10, 22), date(2026, 10, 27)), date(2026, 10, 21)),
        # Too late: at once, on the day of the count.
        (date(2026, 10, 28), (), date(2026, 10, 28)),
        # Counted on the day of leaving: on the day of return.
        (date(2026, 10, 22), away(date(2026, 10, 22), date(2026, 10, 27)), date(2026, 10, 27)),
    ],
)
def test_an_order_falls_on_a_day_at_home_and_not_before_the_count(
    counted_on: date, absent: tuple[Away, ...], on: date
) -> None:
    """The plan sows 12 seeds on 31 October, and fewer are left; delivery takes 7 days."""
    have = 20.0 if counted_on == SOWN_ON else 5.0
    order = ordered(replace(SEEDS, have=have), counted_on, *absent)
    assert order is not None
    assert order.on == on


def test_sowings_before_the_count_do_not_use_the_stock() -> None:
    """12 seeds that were counted on 28 October are enough for the sowing that is left."""
    assert ordered(replace(SEEDS, have=12.0), date(2026, 10, 28)) is None


def test_a_recorded_sowing_uses_its_seeds() -> None:
    """Of 20 seeds counted on Fri 2 October, a recorded sowing of the day after uses 12, too many for the next."""
    garden = a_garden(stock=(SEEDS,), stock_counted_on=date(2026, 10, 2))
    chores = chores_of(a_batch(recorded=("sown",)), LATER, garden=garden)
    assert chores["order/mizuna/1"].on == date(2026, 10, 24)


def test_without_a_stock_there_are_no_orders() -> None:
    """There are no orders without a counted stock, nor with enough of everything."""
    assert of_kind("order", a_batch()) == {}
    measures = {"rockwool cubes": "pieces", "net pots": "pieces", "clay pebbles": "litres", "powder": "grams"}
    plenty = tuple(Item(name=name, measure=each, have=1e6) for name, each in measures.items())  # type: ignore[arg-type]
    garden = a_garden(stock=(*plenty, replace(SEEDS, have=1e6)), stock_counted_on=SOWN_ON)
    assert of_kind("order", a_batch(), garden=garden) == {}


def test_pots_are_ordered_for_more_plants() -> None:
    """Six plants need six pots from 24 October on, and there are four."""
    garden = a_garden(stock=(Item(name="net pots", measure="pieces", have=4.0),), stock_counted_on=SOWN_ON)
    order = of_kind("order", a_batch(), garden=garden)["order/net pots/1"]
    assert (order.on, order.title) == (date(2026, 10, 17), "Order net pots")
