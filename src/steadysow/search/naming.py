"""Naming: which tote and which holes each batch takes.

Takes the strands chosen for groups of totes; gives `Placed` batches with tote and holes, or ``None`` if some plants of
a group find no tote.  Hides the packing: whole batches first, by exact search, into neighbouring holes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import lcm

from steadysow.growth.uptake import USABLE_WATER
from steadysow.inputs.crops import Crop, share_reservoir
from steadysow.plan.batch import Batch
from steadysow.search.candidates import Candidates, Turnaround
from steadysow.search.packing import pack
from steadysow.search.strands import Strand


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A batch in its tote: strands that were sown and transplanted together, and the holes of each."""

    tote: str
    strands: tuple[Strand, ...]
    holes: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Parcel:
    """Strands that become one batch, if they fit into one tote."""

    strands: tuple[Strand, ...]

    @property
    def plants(self) -> int:
        """How many plants it holds."""
        return sum(strand.plants for strand in self.strands)

    @property
    def leaves_day(self) -> int:
        """The day the last of them leaves."""
        return max(strand.leaves_day for strand in self.strands)

    def part(self, plants: int) -> tuple[Parcel, Parcel]:
        """Split off the first `plants` plants."""
        first: list[Strand] = []
        rest: list[Strand] = []
        for strand in self.strands:
            taken = min(strand.plants, plants - sum(each.plants for each in first))
            for part, number in ((first, taken), (rest, strand.plants - taken)):
                if number:
                    part.append(replace(strand, plants=number))
        return Parcel(tuple(first)), Parcel(tuple(rest))


def name_totes(
    candidates: Candidates, strands: Iterable[Strand], *, like: Sequence[Batch] = ()
) -> tuple[Placed, ...] | None:
    """Give every strand its tote and holes.

    Parameters
    ----------
    candidates
        What the strands' indices mean.
    strands
        The chosen strands.
    like
        Batches planned earlier; plants that are sown and transplanted as one of them take its holes if they are free.

    Returns
    -------
    tuple of Placed or None
        ``None`` if some plants found no tote.
    """
    by_group: dict[int, list[Strand]] = defaultdict(list)
    for strand in strands:
        by_group[strand.group].append(strand)
    placed: list[Placed] = []
    for g, members in by_group.items():
        # Crops apart are easier to tend.  If the last of them then find no tote, they are placed tightly.  Naming in
        # the order of days alone always works for a tote counted on its own.
        ways: list[tuple[bool, bool, Sequence[Batch]]] = [(False, True, ()), (True, True, ()), (False, False, ())]
        if like:
            ways.insert(0, (False, False, like))
        namings = (_Naming(candidates, g, is_tight=tight, is_fruit_first=fruit, like=own) for tight, fruit, own in ways)
        naming = next((naming for naming in namings if naming.place_all(members)), None)
        if naming is None:
            return None
        placed += naming.placed
    return tuple(placed)


@dataclass(frozen=True, slots=True, kw_only=True)
class _HoleStay:
    """Plants of one strand in their holes, from the day they enter up to, not including, the day they leave."""

    crop: Crop
    enters: int
    leaves: int
    holes: tuple[int, ...]


@dataclass(slots=True, kw_only=True)
class _ToteStays:
    """A tote while it is being filled: its stays so far, and holes that were harvested before today."""

    name: str
    holes: int
    turnarounds: tuple[Turnaround, ...]
    stays: list[_HoleStay] = field(default_factory=list)

    def turning(self, day: int) -> set[int]:
        return {each.hole for each in self.turnarounds if day < each.until_day}

    def standing(self, day: int, turnaround: int) -> list[_HoleStay]:
        return [stay for stay in self.stays if stay.enters <= day < stay.leaves + turnaround]


# How many stays each tote had, and how many batches were placed.
_Mark = tuple[tuple[int, ...], int]


class _Naming:
    """The working state of `name_totes` for one group."""

    def __init__(
        self, candidates: Candidates, g: int, *, is_tight: bool, is_fruit_first: bool, like: Sequence[Batch]
    ) -> None:
        self.candidates, self.g, self.group = candidates, g, candidates.groups[g]
        self.turn = candidates.garden.turnaround_days
        self.totes = [
            _ToteStays(
                name=name,
                holes=self.group.holes,
                turnarounds=tuple(each for each in candidates.turnarounds if each.tote == name),
            )
            for name in self.group.totes
        ]
        self.placed: list[Placed] = []
        self.is_tight, self.is_fruit_first = is_tight, is_fruit_first
        self.like = [batch for batch in like if batch.tote in self.group.totes and batch.holes]

    def place_all(self, strands: list[Strand]) -> bool:
        # Fruit needs a tote to itself, so where it shares totes with other crops it chooses first.
        by_turn: dict[tuple[bool, int], list[Parcel]] = defaultdict(list)
        parcels = _parcels(self.candidates, strands)
        for parcel in parcels:
            begun = self._begun(parcel)
            if begun is not None and begun.transplanted_on is not None:
                self._stand(parcel)
        for parcel in parcels:
            begun = self._begun(parcel)
            if (begun is None or begun.transplanted_on is None) and not self._stay(parcel):
                waits = self.is_fruit_first and self.group.system == "dwc" and not self._crop(parcel).is_fruit
                by_turn[(waits, parcel.strands[0].transplant_day)].append(parcel)
        place = self._fill if self.group.system == "kratky" else self._plant
        return all(place(turn[1], by_turn[turn]) for turn in sorted(by_turn))

    def _begun(self, parcel: Parcel) -> Batch | None:
        begun = parcel.strands[0].begun
        return None if begun is None else self.candidates.begun[begun]

    def _crop(self, parcel: Parcel) -> Crop:
        return self.candidates.lines[parcel.strands[0].line].crop

    def _room_of(self, crop: Crop) -> Fraction:
        return Fraction(1, self.group.carried[crop.name])

    def _plant(self, day: int, parcels: list[Parcel]) -> bool:
        """Plant a day's parcels into holes of dwc totes, whole if they fit, otherwise in few parts."""
        # A waiting batch may not be parted, so it chooses first.
        parcels = sorted(parcels, key=lambda parcel: (self._begun(parcel) is None, -self._size(parcel)))
        before = self._mark()
        for split in (False, True):
            if all(self._put_somewhere(day, parcel, split=split) for parcel in parcels):
                return True
            self._back_to(before)
            if not split and self._put_packed(day, parcels):
                return True
        return False

    def _put_packed(self, day: int, parcels: list[Parcel]) -> bool:
        """Put whole parcels by exact search, where all crops may share a tote."""
        crops = {self._crop(parcel) for parcel in parcels}
        others = {stay.crop for tote in self.totes for stay in tote.stays if stay.leaves + self.turn > day}
        if not all(share_reservoir(a, b) for a in crops for b in crops | others):
            return False
        room, sizes = [self._free_room(tote, day) for tote in self.totes], [self._size(parcel) for parcel in parcels]
        unit = _unit([*room, *sizes])
        chosen = pack([int(size / unit) for size in sizes], [int(free / unit) for free in room])
        if chosen is None or not self._has_holes(day, parcels, chosen):
            return False
        for b, parcel in zip(chosen, parcels, strict=True):
            self._put(self.totes[b], day, parcel)
        return True

    def _has_holes(self, day: int, parcels: list[Parcel], chosen: Sequence[int]) -> bool:
        """Say whether each tote has holes for the parcels chosen for it; holes in turnaround are not free."""
        needed = [0] * len(self.totes)
        until = max(parcel.leaves_day for parcel in parcels)
        for b, parcel in zip(chosen, parcels, strict=True):
            needed[b] += parcel.plants
        holes = (len(self._free_holes(tote, day, until)) for tote in self.totes)
        return all(number <= free for number, free in zip(needed, holes, strict=True))

    def _put_somewhere(self, day: int, parcel: Parcel, *, split: bool) -> bool:
        """Put a parcel whole into the tote that it fits best, or with `split` into few totes."""
        crop = self._crop(parcel)
        fits = {tote.name: self._most(tote, day, crop, parcel.leaves_day) for tote in self.totes}
        whole = [tote for tote in self.totes if fits[tote.name] >= parcel.plants]
        if whole:
            tote = min(
                whole, key=lambda tote: (self._moves(parcel, tote), *self._unfit(tote, day, crop), fits[tote.name])
            )
            self._put(tote, day, parcel)
            return True
        if not split or self._begun(parcel) is not None:
            return False
        for tote in sorted(self.totes, key=lambda tote: -fits[tote.name]):
            if fits[tote.name] and parcel.strands:
                part, parcel = parcel.part(min(parcel.plants, fits[tote.name]))
                self._put(tote, day, part)
        return not parcel.strands

    def _fill(self, day: int, parcels: list[Parcel]) -> bool:
        """Fill as few empty kratky totes as possible."""
        before = self._mark()
        empty = [tote for tote in self.totes if not tote.standing(day, self.turn) and not tote.turning(day)]
        if not self._fill_tightly(day, parcels, empty):
            return False
        if len(self.placed) - before[1] > len(parcels):
            used = [tote for tote in empty if tote.stays and tote.stays[-1].enters == day]
            until = [max(stay.leaves for stay in tote.stays if stay.enters == day) for tote in used]
            self._back_to(before)
            if not self._fill_packed(day, parcels, used, until):
                return self._fill_tightly(day, parcels, empty)
        return True

    def _fill_tightly(self, day: int, parcels: list[Parcel], totes: list[_ToteStays]) -> bool:
        """Fill tote after tote, beginning with the parcels that leave last, so that the later totes empty early.

        Parcels may be parted.
        """
        parcels = sorted(
            parcels, key=lambda parcel: (self._begun(parcel) is None, -parcel.leaves_day, -self._size(parcel))
        )
        for tote in totes:
            left: list[Parcel] = []
            for parcel in parcels:
                most = min(parcel.plants, self._most(tote, day, self._crop(parcel), parcel.leaves_day))
                if most == 0 or (most < parcel.plants and self._begun(parcel) is not None):
                    left.append(parcel)
                    continue
                part, rest = parcel.part(most)
                self._put(tote, day, part)
                if rest.strands:
                    left.append(rest)
            parcels = left
        return not parcels

    def _fill_packed(self, day: int, parcels: list[Parcel], totes: list[_ToteStays], until: list[int]) -> bool:
        """Fill the same totes with whole parcels, each tote to be empty as early as before; say whether that worked."""
        crops = {self._crop(parcel) for parcel in parcels}
        if not self.group.refilled or not all(share_reservoir(a, b) for a in crops for b in crops):
            return False
        sizes = [self._size(parcel) for parcel in parcels]
        unit = _unit(sizes)
        leave = [parcel.leaves_day for parcel in parcels]
        chosen = pack([int(size / unit) for size in sizes], [int(1 / unit)] * len(totes), leave=leave, until=until)
        if chosen is None:
            return False
        for b, parcel in zip(chosen, parcels, strict=True):
            self._put(totes[b], day, parcel)
        return True

    def _size(self, parcel: Parcel) -> Fraction:
        return parcel.plants * self._room_of(self._crop(parcel))

    def _moves(self, parcel: Parcel, tote: _ToteStays) -> bool:
        begun = self._begun(parcel)
        return begun is not None and begun.tote != tote.name

    def _mark(self) -> _Mark:
        return tuple(len(tote.stays) for tote in self.totes), len(self.placed)

    def _back_to(self, mark: _Mark) -> None:
        for tote, length in zip(self.totes, mark[0], strict=True):
            del tote.stays[length:]
        del self.placed[mark[1] :]

    def _most(self, tote: _ToteStays, day: int, crop: Crop, until: int) -> int:
        """Give the most plants of a crop that still fit into a tote for a stay."""
        if not self._suits(tote, day, crop, until):
            return 0
        most = min(int(self._free_room(tote, day) / self._room_of(crop)), len(self._free_holes(tote, day, until)))
        if not self.group.refilled:
            promised = sum(stay.crop.litres_a_plant * len(stay.holes) for stay in tote.standing(day, 0))
            most = min(most, int((USABLE_WATER * self.group.litres - promised) / crop.litres_a_plant + 1e-9))
        return most

    def _free_room(self, tote: _ToteStays, day: int) -> Fraction:
        taken = (len(stay.holes) * self._room_of(stay.crop) for stay in tote.standing(day, 0))
        return 1 - sum(taken, Fraction(0))

    def _free_holes(self, tote: _ToteStays, day: int, until: int) -> list[int]:
        """Give the holes that stay free during a stay and its turnaround."""
        stays = (stay for stay in tote.stays if stay.enters < until + self.turn and day < stay.leaves + self.turn)
        taken = {hole for stay in stays for hole in stay.holes} | tote.turning(day)
        return [hole for hole in range(1, tote.holes + 1) if hole not in taken]

    def _suits(self, tote: _ToteStays, day: int, crop: Crop, until: int) -> bool:
        """Say whether a crop may share a tote with all crops that stand there during a stay."""
        others = {stay.crop for stay in tote.stays if stay.enters < until and day < stay.leaves}
        return all(share_reservoir(crop, other) for other in others)

    def _unfit(self, tote: _ToteStays, day: int, crop: Crop) -> tuple[int, int]:
        """Rate how badly a tote suits a crop: by its other crops, and in a tight naming first by being empty."""
        standing = {stay.crop.name for stay in tote.standing(day, 0)}
        return int(self.is_tight and not standing), len(standing - {crop.name})

    def _put(self, tote: _ToteStays, day: int, parcel: Parcel) -> None:
        parcel = Parcel(tuple(sorted(parcel.strands, key=lambda strand: strand.leaves_day)))
        self._settle(tote, parcel, _neighbours(self._free_holes(tote, day, parcel.leaves_day), parcel.plants))

    def _stand(self, parcel: Parcel) -> None:
        """Leave a standing batch in its holes."""
        batch = self._begun(parcel)
        assert batch is not None
        tote = next(tote for tote in self.totes if tote.name == batch.tote)
        gone = {hole for harvest in batch.harvests if harvest.kind == "head" for hole in harvest.holes}
        self._settle(tote, parcel, [hole for hole in batch.holes if hole not in gone])

    def _stay(self, parcel: Parcel) -> bool:
        """Put a parcel into the holes of the old batch that it continues, if they are free; say whether that worked."""
        known = [batch for batch in self.like if self._is_like(batch, parcel)]
        if not known:
            return False
        batch = min(known, key=lambda batch: (abs(batch.plants - parcel.plants), batch.id))
        tote = next(tote for tote in self.totes if tote.name == batch.tote)
        day, until = parcel.strands[0].transplant_day, parcel.leaves_day
        free = self._free_holes(tote, day, until)
        own = [hole for hole in batch.holes if hole in free][: parcel.plants]
        own += [hole for hole in free if hole not in batch.holes][: parcel.plants - len(own)]
        if len(own) < parcel.plants or not self._suits(tote, day, self._crop(parcel), until):
            return False
        self.like.remove(batch)
        strands = tuple(sorted(parcel.strands, key=lambda strand: strand.leaves_day))
        self._settle(tote, Parcel(strands), sorted(own))
        return True

    def _is_like(self, batch: Batch, parcel: Parcel) -> bool:
        first = parcel.strands[0]
        line = self.candidates.lines[first.line]
        begun = self._begun(parcel)
        if begun is not None:
            return batch.id == begun.id
        days = (self.candidates.day_of(batch.sown_on), batch.transplanted_on)
        return (
            (batch.crop, batch.want) == (line.crop.name, line.want)
            and days == (first.sown_day, self.candidates.date_of(first.transplant_day))
        )  # fmt: skip

    def _settle(self, tote: _ToteStays, parcel: Parcel, free: Sequence[int]) -> None:
        crop, holes = self._crop(parcel), []
        for strand in parcel.strands:
            own, free = tuple(free[: strand.plants]), free[strand.plants :]
            stay = _HoleStay(crop=crop, enters=strand.transplant_day, leaves=strand.leaves_day, holes=own)
            tote.stays.append(stay)
            holes.append(own)
        self.placed.append(Placed(tote=tote.name, strands=parcel.strands, holes=tuple(holes)))


def _parcels(candidates: Candidates, strands: list[Strand]) -> list[Parcel]:
    """Group strands into batches: heads that are sown and transplanted together, whatever day each is harvested.

    A head that is cleared without a harvest would keep its hole until its batch is cleared, so it is its own batch.
    """
    together: dict[object, list[Strand]] = defaultdict(list)
    for number, strand in enumerate(strands):
        is_taken = strand.begun is not None or strand.steps[-1].number > 0
        heads = candidates.lines[strand.line].crop.harvest.kind == "head" and is_taken
        key = (strand.line, strand.begun, strand.sown_day, strand.transplant_day, None if heads else number)
        together[key].append(strand)
    return [Parcel(tuple(members)) for members in together.values()]


def _neighbours(free: list[int], number: int) -> list[int]:
    """Choose holes next to each other: the shortest run of free holes that suffices, otherwise the first free holes."""
    runs: list[list[int]] = []
    for hole in free:
        if runs and hole == runs[-1][-1] + 1:
            runs[-1].append(hole)
        else:
            runs.append([hole])
    fitting = [run for run in runs if len(run) >= number]
    return min(fitting, key=len)[:number] if fitting else free[:number]


def _unit(parts: Iterable[Fraction]) -> Fraction:
    """Give the largest unit fraction that divides all parts."""
    return Fraction(1, lcm(*(part.denominator for part in parts)))
