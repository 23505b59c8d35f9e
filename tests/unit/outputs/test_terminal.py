"""What is shown in the terminal, at the widths of a narrow and of a wide window."""

import io
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta

import pytest
from rich.console import Console

from steadysow.growth.forecast import Forecast
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Garden, Lamp, Place, Window
from steadysow.outputs import terminal
from steadysow.plan.batch import Batch
from steadysow.plan.plan import Plan, Proof

WIDTHS = (80, 120)
Draw = Callable[[Console], None]


def drawn(draw: Draw, width: int = 100) -> str:
    """Give what is drawn on a plain terminal of that width."""
    stream = io.StringIO()
    draw(Console(width=width, file=stream))
    return stream.getvalue()


def words(text: str) -> str:
    """Give the text with its line breaks and alignment taken out."""
    return " ".join(text.split())


def everything(garden: Garden, plan: Plan) -> dict[str, Draw]:
    """Give every view of a plan by name."""
    return {
        "sowings": lambda console: terminal.sowings(console, plan),
        "totes": lambda console: terminal.totes(console, garden, plan),
        "lids": lambda console: terminal.lids(console, garden, plan, date(2026, 11, 10), {}),
        "harvest": lambda console: terminal.harvest(console, garden, plan),
        "proof": lambda console: terminal.proof(console, plan, ("Lettuce makes 30 g a mol of light.",)),
        "batches": lambda console: terminal.batches(console, plan),
        "crop list": lambda console: terminal.crop_list(console, garden.crops),
        "crop profile": lambda console: terminal.crop_profile(console, garden.crops["dwarf tomato"]),
    }


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_longer_than_the_window(garden: Garden, plan: Plan, width: int) -> None:
    """Every view fits the width, cuts nothing off and uses neither colour nor pictures."""
    for name, draw in everything(garden, plan).items():
        text = drawn(draw, width)
        assert max(map(len, text.splitlines())) <= width, name
        assert "\x1b" not in text, name
        assert "…" not in text, name
        # Beyond plain letters there are only the lines of tables and the sign of degrees.
        assert set(text) - set(map(chr, range(128))) <= set("─│┌┐└┘├┤┬┴┼°"), name


@pytest.mark.parametrize("width", WIDTHS)
def test_words_are_not_broken(garden: Garden, plan: Plan, width: int) -> None:
    """A crop's name is never broken inside a word where a window is 80 columns wide."""
    for name in ("sowings", "batches", "harvest", "crop list"):
        assert "butterhead" in drawn(everything(garden, plan)[name], width), name


@pytest.mark.parametrize("width", WIDTHS)
def test_sowings_tell_all_that_is_needed_to_sow(plan: Plan, width: int) -> None:
    """A sowing tells its day, crop, plants, cells, seeds, want, holes, planting and first harvest."""
    row = next(line for line in drawn(lambda c: terminal.sowings(c, plan), width).splitlines() if "butterhead" in line)
    assert words(row) == "Sat 3 Oct butterhead lettuce 4 5 10 heads B 1-3, 7 24 Oct 28 Nov"


def test_what_is_sown_together_is_one_row(plan: Plan) -> None:
    """Batches sown, planted and first harvested on the same days for the same tote make one row."""
    rows = [line for line in drawn(lambda c: terminal.sowings(c, plan)).splitlines() if "mizuna" in line]
    assert [words(row) for row in rows] == ["mizuna 8 10 20 salad A 1-8 24 Oct 14 Nov"]


def test_what_is_sown_is_no_sowing_any_more(plan: Plan) -> None:
    """Only what is planned is still to be sown."""
    sown = replace(plan, batches=tuple(replace(batch, state="sown") for batch in plan.batches))
    assert "Nothing is left to sow." in drawn(lambda c: terminal.sowings(c, sown))


@pytest.mark.parametrize("width", WIDTHS)
def test_totes_show_each_week_once(garden: Garden, plan: Plan, width: int) -> None:
    """Whatever the width, every week has one column, and weeks follow each other."""
    text = drawn(lambda c: terminal.totes(c, garden, plan), width)
    heads = [day for line in text.splitlines() if line.startswith("Tote  ") for day in re.findall(r"\d+ \w{3}", line)]
    assert heads == [terminal._short_day(week.starts_on) for week in plan.weeks]


def test_totes_tell_crop_plants_and_work(garden: Garden, plan: Plan) -> None:
    """A cell tells what stands in the tote, how many plants, what is taken in that week, or that it is empty."""
    lines = drawn(lambda c: terminal.totes(c, garden, plan), 200).splitlines()
    first, taken = next((line, lines[number + 1]) for number, line in enumerate(lines) if line.startswith("A "))
    assert re.split(r"\s{2,}", first.strip()) == ["A", *["empty"] * 3, *["mizuna 8"] * 6, "empty"]
    assert re.split(r"\s{2,}", taken.strip()) == ["cut 1", "cut 2"]
    second, ready = next((line, lines[number + 1]) for number, line in enumerate(lines) if line.startswith("B "))
    assert words(second).endswith("butterhead 4 butterhead 2")
    assert re.split(r"\s{2,}", ready.strip()) == ["2 ready", "ready"]
    assert "butterhead = butterhead lettuce" in lines


def test_totes_tell_picking(garden: Garden, plan: Plan) -> None:
    """A week in which fruit is picked says so."""
    (batch, *_) = plan.batches
    picks = tuple(replace(harvest, kind="pick") for harvest in batch.harvests)
    fruit = replace(plan, batches=(replace(batch, crop="dwarf tomato", tote="L", holes=(1, 2), harvests=picks),))
    text = drawn(lambda c: terminal.totes(c, garden, fruit), 200)
    assert text.count("pick") == 2
    assert "tomato = dwarf tomato" in text


def test_short_names_are_never_alike() -> None:
    """Crops that share a word get names that tell them apart, and short names stay as they are."""
    crops = (
        "red russian kale",
        "red salad mustard",
        "purple mizuna",
        "mizuna",
        "butterhead lettuce",
        "red small mustard",
    )
    short = terminal._short_names(crops)
    assert len(set(short.values())) == len(crops)
    assert max(map(len, short.values())) <= 11
    assert short["mizuna"] == "mizuna"
    assert short["butterhead lettuce"] == "butterhead"
    assert short["red russian kale"] == "russian"


def test_lids_tell_the_water_of_a_tote(garden: Garden, plan: Plan) -> None:
    """5.6 litres in a tote of 0.112 m2 are 5 cm high; of others nothing is told."""
    name = garden.totes[0].name
    measured = replace(garden, totes=(replace(garden.totes[0], inside_cm=(28.0, 40.0)), *garden.totes[1:]))
    text = drawn(lambda c: terminal.lids(c, measured, plan, date(2026, 11, 10), {name: 5.6}))
    assert text.count("of water") == 1
    assert "About 5.6 litres of water, 5 cm high" in text


def test_lids_show_every_hole(garden: Garden, plan: Plan) -> None:
    """Every hole of a tote in use has its number, and the crop that stands in it that day."""
    text = drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 10), {}))
    assert re.findall(r"(\d+) mizuna", text) == [str(hole) for hole in range(1, 9)]
    assert re.findall(r"│ (\d+) butterhead lettuce", text) == ["1", "2", "3", "7"]
    assert "1-6: mizuna, batch 1, next cut Sat 14 Nov" in text
    assert "Tote L, deep water culture, 0 of 4 holes in use" in text


def test_head_leaves_its_hole_on_its_own_day(garden: Garden, plan: Plan) -> None:
    """A head that is taken that day does not stand in its hole any more, its later neighbours do."""
    text = drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 28), {}))
    assert re.findall(r"│ (\d+) butterhead lettuce", text) == ["3", "7"]
    assert "3, 7: butterhead lettuce, batch 2, ready Sat 5 Dec" in text


def test_long_names_are_shortened_on_a_narrow_lid(garden: Garden, plan: Plan) -> None:
    """Where names do not fit side by side, the lid keeps its shape and shortens them."""
    assert "│ 1 butterhead │" in drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 10), {}), 60)
    for width in (20, 30, 40):
        text = drawn(lambda c: terminal.lids(c, garden, plan, date(2026, 11, 10), {}), width)
        assert max(map(len, text.splitlines())) <= width
        assert re.findall(r"│ (\d+) mizuna", text) == [str(hole) for hole in range(1, 9)]


@pytest.mark.parametrize("width", WIDTHS)
def test_harvest_names_gaps_surplus_and_what_is_out_of_reach(garden: Garden, plan: Plan, width: int) -> None:
    """What is missing, what spoils, and when a want can first be met is in view as a word."""
    text = words(drawn(lambda c: terminal.harvest(c, garden, plan), width))
    assert "gap 120 g" in text
    assert "surplus 10 g" in text
    assert "not before" in text
    assert "3 Oct to 7 Nov salad" in text
    assert "mizuna 240 g" in text


def test_week_that_wants_nothing_is_no_gap(garden: Garden, plan: Plan) -> None:
    """A week in which nobody is at home wants nothing, and is not told as a gap."""
    away = replace(plan.weeks[6].wants[0], wanted=0.0, served=0.0)
    quiet = replace(plan, weeks=(replace(plan.weeks[6], wants=(away,)),))
    text = drawn(lambda c: terminal.harvest(c, garden, quiet))
    assert "not wanted" in text
    assert "gap" not in text


def test_harvest_follows_the_units(garden: Garden, plan: Plan) -> None:
    """A garden in US units shows ounces; 180 g are 6.3 oz."""
    text = drawn(lambda c: terminal.harvest(c, replace(garden, units="us"), plan))
    assert "6.3 oz" in text
    assert " g " not in text


def the_proof(**changes: object) -> Proof:
    """Give the proof of the example in the design with some figures changed."""
    figures: dict[str, object] = {
        "served_share": 0.956,
        "best_share": 0.964,
        "bound_share": 0.969,
        "served_share_all_weeks": 0.956,
        "status": "time limit",
        "seconds": 9.8,
        "deep_gaps": 0,
        "sowings": 24,
        "best_sowings": 41,
    }
    return Proof(**(figures | changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("proof", "said"),
    [
        (
            the_proof(),
            "Meets 95.6 % of what you asked, with 24 sowings. 96.4 % would take 41. "
            "No plan for these totes can meet more than 96.9 %. The time limit ended the search after 10 s.",
        ),
        (
            the_proof(status="optimal", bound_share=0.964),
            "Meets 95.6 % of what you asked, with 24 sowings. 96.4 % would take 41. "
            "It is proven that no plan for these totes can meet more.",
        ),
        (
            the_proof(status="optimal", served_share=1.0, best_share=1.0, bound_share=1.0, served_share_all_weeks=1.0),
            "Meets 100.0 % of what you asked, with 24 sowings. "
            "It is proven that no plan for these totes can meet more.",
        ),
        (
            the_proof(served_share=0.964, sowings=1, deep_gaps=2, served_share_all_weeks=0.71, status="interrupted"),
            "Meets 96.4 % of what you asked, with 1 sowing. No plan for these totes can meet more than 96.9 %. "
            "The search was interrupted after 10 s; this is the best plan until then. "
            "Weeks that get under half of what you asked: 2. "
            "Over all weeks, with those out of reach, it meets 71.0 %.",
        ),
        (
            the_proof(bound_share=1.0, best_sowings=24, status="step limit"),
            "Meets 95.6 % of what you asked, with 24 sowings. The most that was found is 96.4 %. "
            "How much more could be met is not proven. The search ended after its set number of steps, in 10 s.",
        ),
    ],
    ids=["time limit", "proven best", "all met", "interrupted", "no bound"],
)
@pytest.mark.parametrize("width", WIDTHS)
def test_proof_says_how_good_the_plan_is(plan: Plan, proof: Proof, said: str, width: int) -> None:
    """The sentences hold the served share, the best share and the bound, and fold where these are equal."""
    assert said in words(drawn(lambda c: terminal.proof(c, replace(plan, proof=proof)), width))


def test_proof_of_weeks_out_of_reach_claims_nothing(plan: Plan) -> None:
    """Where no week is in reach there is no share to tell."""
    text = words(drawn(lambda c: terminal.proof(c, replace(plan, weeks=plan.weeks[:5]))))
    assert "Nothing of what you ask for can be ready within these weeks" in text
    assert "Meets" not in text


@pytest.mark.parametrize("width", WIDTHS)
def test_percentage_sign_stays_with_its_number(plan: Plan, width: int) -> None:
    """No line begins with a percentage sign."""
    text = drawn(lambda c: terminal.proof(c, plan), width)
    assert not any(line.startswith("%") for line in text.splitlines())


def test_shares_are_never_flattered() -> None:
    """What is reached is rounded down and what bounds it up; a share of whole tenths of a percent stays as it is."""
    assert (terminal._at_least(0.99999), terminal._at_most(0.96901)) == ("99.9 %", "97.0 %")
    for tenth in range(1001):
        shown = f"{tenth // 10}.{tenth % 10} %"
        assert (terminal._at_least(tenth / 1000), terminal._at_most(tenth / 1000)) == (shown, shown)


def test_proof_tells_effort_and_light(plan: Plan) -> None:
    """Days of work a week are counted over the planned weeks: one sowing day and three harvest days in ten weeks."""
    text = words(drawn(lambda c: terminal.proof(c, plan, ("Lettuce makes 30 g a mol of light.",))))
    assert "Sowing on 0.1 days a week, harvest on 0.3 days a week." in text
    assert "Lettuce makes 30 g a mol of light." in text


def test_sentences_stand_below_each_other() -> None:
    """Several sentences get a dash each and hang under it; a single one needs none."""
    text = drawn(lambda c: terminal.sentences(c, "Notes", ("One " + "word " * 20 + "[end].", "Two.")), 80)
    assert text.splitlines()[0] == "Notes"
    assert [line[:5] for line in text.splitlines()[1:4]] == ["- One", "  wor", "- Two"]
    assert "[end]." in text
    assert drawn(lambda c: terminal.sentences(c, "Notes", ("One.",))) == "Notes\nOne.\n\n"


def test_brackets_in_names_are_shown(crops: Mapping[str, Crop], plan: Plan) -> None:
    """Square brackets that a person wrote are shown and not taken for markup."""
    named = replace(plan, batches=tuple(replace(batch, want="[red]") for batch in plan.batches))
    for draw in (lambda c: terminal.sowings(c, named), lambda c: terminal.batches(c, named)):
        assert "[red]" in drawn(draw)
    assert "estimate: weighed by nobody [yet]" in drawn(lambda c: terminal.crop_profile(c, crops["mizuna"]))


def test_profile_follows_the_units(crops: Mapping[str, Crop]) -> None:
    """In US units temperatures are in Fahrenheit: 20 degrees Celsius are 68."""
    text = drawn(lambda console: terminal.crop_profile(console, crops["dwarf tomato"], "us"))
    assert "68 °F" in text
    assert "°C" not in text


SHELF = Place(name="shelf", lamp=Lamp(dli_mol=14.0), temperature_c=20.0)
SILL = Place(name="south window", window=Window(faces="south", share=0.4), temperature_c=17.5)
# The longest dates and amounts there are in two sowings, and one that comes to nothing.
FORECASTS = (
    Forecast(
        place=SHELF,
        sown_on=date(2026, 9, 10),
        emerges_on=date(2026, 9, 13),
        planted_on=date(2026, 9, 24),
        ready_on=date(2026, 10, 29),
        latest_on=date(2026, 11, 17),
        grams=150.0,
        dli_mol=14.0,
        temperature_c=20.0,
        light_pace=1.0,
        warmth_pace=1.0,
    ),
    Forecast(
        place=SILL,
        sown_on=date(2026, 11, 10),
        emerges_on=date(2026, 11, 13),
        planted_on=date(2026, 11, 24),
        ready_on=date(2027, 2, 26),
        latest_on=date(2027, 3, 17),
        grams=119.6,
        dli_mol=11.04,
        temperature_c=17.54,
        light_pace=0.5,
        warmth_pace=0.75,
    ),
    Forecast(place=SILL, sown_on=date(2026, 12, 10), end="seeds"),
)


@pytest.mark.parametrize("width", WIDTHS)
def test_forecasts_tell_every_stage(crops: Mapping[str, Crop], width: int) -> None:
    """A row has day, place, the four dates, weight, light and warmth, all whole; what never comes is left empty."""
    text = drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], FORECASTS), width)
    assert text.startswith("Butterhead lettuce\n")
    assert max(map(len, text.splitlines())) <= width
    first, second, third = (
        words(line) for line in text.partition("Why")[0].splitlines() if re.match(r"10 \w{3} ", line)
    )
    assert first == "10 Sep shelf 13 Sep 24 Sep 29 Oct 17 Nov 150 g 14.0 mol 20 °C"
    # Where the width runs out the place's name may go on in the next line.
    assert second in {
        f"10 Nov {name} 13 Nov 24 Nov 26 Feb 17 Mar 120 g 11.0 mol 17.5 °C" for name in ("south window", "south")
    }
    assert third in {"10 Dec south window", "10 Dec south"}


@pytest.mark.parametrize("width", WIDTHS)
def test_forecasts_have_a_reason_each(crops: Mapping[str, Crop], width: int) -> None:
    """Below the table every sowing has its sentence, named by place and day."""
    text = words(drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], FORECASTS), width))
    first, second, third = text.partition(" Why - ")[2].split(" - ")
    assert first.startswith("shelf, sown 10 Sep: At 14.0 mol of light a day and 20 °C it grows at ")
    assert "(light 100%, warmth 100%): 35 days instead of 35." in first
    assert "the light makes" not in first
    # From 24 November to 26 February: 6 + 31 + 31 + 26 days.
    assert second.startswith("south window, sown 10 Nov: At 11.0 mol of light a day and 17.5 °C it grows at ")
    assert (
        "(light 50%, warmth 75%): 94 days instead of 35. At the profile's spacing the light makes 120 g of the 150 g"
        in second
    )
    assert third.startswith("south window, sown 10 Dec: Seeds never come up")


def test_forecasts_follow_the_units(crops: Mapping[str, Crop]) -> None:
    """In US units 20 degrees are 68 Fahrenheit and 150 g are 5.3 ounces."""
    text = words(drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], FORECASTS, "us"), 120))
    assert "29 Oct 17 Nov 5.3 oz 14.0 mol 68 °F" in text
    assert "°C" not in text
    assert " g " not in text


@pytest.mark.parametrize("width", WIDTHS)
def test_forecasts_of_a_place_with_a_long_name(crops: Mapping[str, Crop], width: int) -> None:
    """A long name, even with square brackets, breaks between its words and pushes no figure out of the window."""
    long = replace(SHELF, name="lowest shelf of the rack in the [cold] hallway by the cellar door, left")
    told = (replace(FORECASTS[0], place=long),)
    text = drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], told), width)
    assert max(map(len, text.splitlines())) <= width
    assert "13 Sep 24 Sep 29 Oct 17 Nov 150 g 14.0 mol 20 °C" in words(text)
    assert "[cold]" in text.partition("Why")[0]
    assert "[cold]" in text.partition("Why")[2]


def test_a_dark_place_has_its_light_told(crops: Mapping[str, Crop]) -> None:
    """In a polar night the light is 0.0 mol, which is not the same as a sowing that was never planted."""
    dark = Forecast(
        place=SILL,
        sown_on=date(2026, 9, 10),
        emerges_on=date(2026, 9, 13),
        planted_on=date(2026, 9, 24),
        temperature_c=17.5,
        warmth_pace=0.75,
        end="slow",
    )
    text = words(drawn(lambda c: terminal.forecasts(c, crops["butterhead lettuce"], (dark,)), 120))
    assert "10 Sep south window 13 Sep 24 Sep 0.0 mol 17.5 °C" in text


def test_lost_batch_stands_nowhere(garden: Garden, plan: Plan) -> None:
    """A lost batch is in no tote and on no lid."""
    lost: tuple[Batch, ...] = tuple(replace(batch, state="lost", holes=()) for batch in plan.batches)
    gone = replace(plan, batches=lost)
    assert "mizuna" not in drawn(lambda c: terminal.totes(c, garden, gone), 200)
    assert "mizuna" not in drawn(lambda c: terminal.lids(c, garden, gone, date(2026, 11, 10), {}))


def test_empty_plan_is_shown_in_words(garden: Garden, plan: Plan) -> None:
    """A plan without batches and weeks says so and breaks nothing."""
    empty = replace(plan, batches=(), weeks=(), until_on=plan.from_on + timedelta(days=7))
    views = everything(garden, empty)
    text = "".join(drawn(views[name]) for name in ("sowings", "totes", "lids", "harvest", "proof", "batches"))
    assert "There is no batch in this plan." in text


def test_progress_shows_best_and_bound_on_a_terminal() -> None:
    """On a terminal the callback shows the best plan and the bound so far."""
    stream = io.StringIO()
    with terminal.Progress(Console(file=stream, force_terminal=True, width=80)) as report:
        report(0.0, 1.2, 0.4)
        report(0.942, 0.969, 3.1)
    assert "0 s: no plan yet; none can meet more than 100.0 %" in stream.getvalue()
    assert "3 s: meets 94.2 % of what you asked; none can meet more than 96.9 %" in stream.getvalue()


def test_progress_is_silent_elsewhere() -> None:
    """Where the error stream is a file or a pipe, nothing is written."""
    stream = io.StringIO()
    with terminal.Progress(Console(file=stream)) as report:
        report(0.942, 0.969, 3.1)
    assert stream.getvalue() == ""
