"""Reading the wants of a garden file.

Takes their values; gives `Want`.  Hides how shares of crops are written, and the checks that totes can hold the crops.
"""

from __future__ import annotations

import re

from steadysow.amounts import grams_of
from steadysow.inputs.crops import Crop
from steadysow.inputs.garden import Serving, Tote, Want, carried, lid_area_m2
from steadysow.inputs.garden_names import Known, read_known_name, read_own_name
from steadysow.inputs.values import Value, find_measure, read_amount, read_span

_PERCENT = r"(\d+(?:\.\d+)?)\s*%"
_AT_MOST = re.compile(rf"at most {_PERCENT}")
_AT_LEAST = re.compile(rf"at least {_PERCENT}")
_BETWEEN = re.compile(rf"(?:between )?{_PERCENT} (?:to|and) {_PERCENT}")


def read_want(value: Value, known: Known) -> Want:
    """Read a want: its amount a week, its crops and their shares."""
    want = value.section(
        "grams_a_week", "ounces_a_week", "heads_a_week", "crops", "from", "until", "importance", "keeps_days"
    )
    weight = find_measure(want, metric_key="grams_a_week", us_key="ounces_a_week", units=known.units)
    heads = want.find("heads_a_week")
    if weight and heads:
        heads.fault("a want asks for heads or for a weight, not both", "Keep one of the two, or make two wants")
    amount = heads or weight or want.need("grams_a_week")
    from_on, until_on = read_span(want, "from", "until")
    importance, keeps = want.find("importance"), want.find("keeps_days")
    return Want(
        name=read_own_name(value),
        unit="heads" if heads else "g",
        amount=read_amount(amount, us_key="ounces_a_week", metric_of=grams_of),
        servings=_read_servings(want.need("crops"), known, heads_only=heads is not None),
        from_on=from_on,
        until_on=until_on,
        importance=importance.number(above=0, most=1000) if importance else 1.0,
        keeps_days=keeps.whole(least=1, most=60) if keeps else None,
    )


def _read_servings(value: Value, known: Known, *, heads_only: bool) -> tuple[Serving, ...]:
    names: dict[str, Value] = {}
    servings: list[Serving] = []
    for entry in value.entries() if value.is_mapping else value.one_or_more():
        named = entry.key() if value.is_mapping else entry
        name = read_known_name(named, known.crop_names, "crop")
        least, most = _read_shares(entry) if value.is_mapping else (0.0, 1.0)
        servings.append(Serving(crop=name, least=least, most=most))
        if name in names:
            named.fault(f'"{name}" is listed twice', "Keep it once")
        elif heads_only and name in known.crops and known.crops[name].harvest.kind != "head":
            named.fault(f'"{name}" is not harvested as heads', "Choose a head crop, or write grams_a_week")
        names[name] = named
    least_sum = sum(serving.least for serving in servings)
    if least_sum > 1 + 1e-9:
        value.fault(f"the smallest shares add up to {100 * least_sum:g}%, more than 100%", "Lower some of them")
    most_sum = sum(serving.most for serving in servings)
    if servings and most_sum < 1 - 1e-9:
        wrong = f"the largest shares add up to {100 * most_sum:g}%, less than 100%"
        value.fault(wrong, "Raise some of them, or add a crop")
    _check_room(value, names, known)
    return tuple(servings)


def _check_room(value: Value, names: dict[str, Value], known: Known) -> None:
    """Add a fault for crops that no tote can hold."""
    homeless = {
        name: reason
        for name in names
        if name in known.crops and (reason := _why_no_tote_holds(known.crops[name], known.totes))
    }
    if homeless and len(homeless) == len(names):
        reasons = "; ".join(f"{name} {reason}" for name, reason in homeless.items())
        value.fault(f"no tote can hold any of these crops: {reasons}", "Add a crop or a tote that fits")
        return
    for name, reason in homeless.items():
        names[name].fault(f'no tote can hold "{name}": it {reason}', "Leave it out, or add a tote that fits")


def _why_no_tote_holds(crop: Crop, totes: tuple[Tote, ...]) -> str | None:
    """Say why no tote carries a plant of the crop; ``None`` if one does."""
    if not totes or any(carried(crop, tote) for tote in totes):
        return None
    fitting = [tote for tote in totes if tote.system in crop.systems]
    if not fitting:
        return f"grows in {' or '.join(crop.systems)} only"
    largest = max(lid_area_m2(tote) for tote in fitting)
    return f"needs {1 / crop.plants_per_m2:.2f} m2 a plant, and the largest lid has {largest:.2f} m2"


def _read_shares(value: Value) -> tuple[float, float]:
    write = 'Write any, "at most 70%", "at least 5%" or "5% to 70%"'
    text = "any" if value.is_empty else value.text().casefold()
    least, most = 0.0, 100.0
    if found := _AT_MOST.fullmatch(text):
        most = float(found[1])
    elif found := _AT_LEAST.fullmatch(text):
        least = float(found[1])
    elif found := _BETWEEN.fullmatch(text):
        least, most = float(found[1]), float(found[2])
    elif text != "any":
        value.fault(f'"{text}" is not a share', write)
    if least > most or most > 100 or most == 0:
        value.fault(f'"{text}" is not a share from 0% to 100%', write)
    return least / 100, most / 100
