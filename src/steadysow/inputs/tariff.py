"""What power costs: the type and its reader.

Takes the ``tariff`` of a garden file; gives a frozen `Tariff`, which knows the price in every minute of the day.  Hides
the ways to write it: one price, cheap hours that may cross midnight, or a price for each hour.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import time

from steadysow.inputs.values import Value, nearest

HOURS_A_DAY = 24
MINUTES_A_DAY = 24 * 60

# Hourly prices can fall below zero. Our choice: how low and how high a price may be [a kWh].
_LEAST_PRICE, _MOST_PRICE = -10, 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class CheapHours:
    """A price of a kWh between two different times of day; the span crosses midnight if the first is later."""

    from_clock: time
    until_clock: time
    per_kwh: float

    @property
    def minutes(self) -> Iterator[int]:
        """The minutes of the day in which the price holds, counted from midnight."""
        first, last = minute_of(self.from_clock), minute_of(self.until_clock)
        return (minute % MINUTES_A_DAY for minute in range(first, last + (MINUTES_A_DAY if last <= first else 0)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tariff:
    """What power costs.

    Attributes
    ----------
    currency
        As written.
    per_kwh
        The price of a kWh; ``None`` if `by_hour` is given.
    cheap
        Spans of the day with their own prices, which do not overlap.
    by_hour
        Twenty-four prices from midnight on, in place of `per_kwh`; or none.
    zone
        The time zone by which clocks change, by its name in the IANA database; ``None`` if they do not change.
    """

    currency: str
    per_kwh: float | None = None
    cheap: tuple[CheapHours, ...] = ()
    by_hour: tuple[float, ...] = ()
    zone: str | None = None

    @property
    def by_minute(self) -> tuple[float, ...]:
        """The price of a kWh in each minute of the day."""
        if self.by_hour:
            return tuple(price for price in self.by_hour for _ in range(60))
        assert self.per_kwh is not None, "a tariff has one price or 24"
        prices = [self.per_kwh] * MINUTES_A_DAY
        for span in self.cheap:
            for minute in span.minutes:
                prices[minute] = span.per_kwh
        return tuple(prices)

    @property
    def is_flat(self) -> bool:
        """Whether power costs the same at any time of day."""
        return len({*self.by_minute}) == 1


def minute_of(clock: time) -> int:
    """Give a time of day in minutes from midnight [min]."""
    return clock.hour * 60 + clock.minute


def read_tariff(value: Value) -> Tariff:
    """Read what power costs, from the value of ``tariff``."""
    tariff = value.section("currency", "per_kwh", "cheap", "by_hour", "zone")
    cheap, by_hour, zone = tariff.find("cheap"), tariff.find("by_hour"), tariff.find("zone")
    one_price = tariff.find("per_kwh")
    if by_hour and (one_price or cheap):
        other = "per_kwh" if one_price else "cheap"
        by_hour.fault(
            f"cannot be combined with {other}", "Write one price with its cheap hours, or a price for each hour"
        )
    return Tariff(
        currency=tariff.need("currency").text(longest=10),
        per_kwh=None if by_hour else _read_price(tariff.need("per_kwh")),
        cheap=_read_cheap(cheap) if cheap else (),
        by_hour=_read_by_hour(by_hour) if by_hour else (),
        zone=_read_zone(zone) if zone else None,
    )


def _read_price(value: Value) -> float:
    return value.number(least=_LEAST_PRICE, most=_MOST_PRICE)


def _read_cheap(value: Value) -> tuple[CheapHours, ...]:
    spans: list[CheapHours] = []
    taken: dict[int, CheapHours] = {}
    for item in value.one_or_more():
        section = item.section("from", "until", "per_kwh")
        span = CheapHours(
            from_clock=section.need("from").clock(),
            until_clock=section.need("until").clock(),
            per_kwh=_read_price(section.need("per_kwh")),
        )
        if not item.is_sound:
            continue
        if span.from_clock == span.until_clock:
            item.fault(
                f"begins and ends at {span.from_clock:%H:%M}",
                "Write two different times; for a whole day write only per_kwh",
            )
            continue
        other = next((taken[minute] for minute in span.minutes if minute in taken), None)
        if other:
            item.fault(
                f"overlaps with {other.from_clock:%H:%M} to {other.until_clock:%H:%M}",
                "End one span when the other begins",
            )
        taken |= dict.fromkeys(span.minutes, span)
        spans.append(span)
    return tuple(spans)


def _read_by_hour(value: Value) -> tuple[float, ...]:
    prices = tuple(_read_price(item) for item in value.items())
    if value.is_list and len(prices) not in (0, HOURS_A_DAY):
        value.fault(f"has {len(prices)} prices", "Write 24 prices, the first for the hour after midnight")
    return prices


def _read_zone(value: Value) -> str | None:
    # Only needed for a garden that names a zone.
    from zoneinfo import ZoneInfo, available_timezones

    name = value.text()
    try:
        if name:
            ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        # A path out of the database, or to one of its folders, raises other errors than an unknown name.
        known = available_timezones()
        near = nearest(name, known)
        if known:
            write = f"Did you mean {near}?" if near else "Write an IANA name such as Europe/Helsinki"
            value.fault(f'there is no time zone "{name}"', write)
        else:
            value.fault(
                "cannot be looked up: this machine has no time zones",
                "Install the Python package tzdata, or leave zone out if clocks do not change",
            )
        return None
    return name
