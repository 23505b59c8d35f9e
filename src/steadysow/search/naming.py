"""Naming: which tote and which holes each batch takes.

Takes the strands that were chosen for groups of totes; gives `Placed` batches with tote and holes, or ``None`` if the
groups' plants cannot be told apart into totes.  Hides the packing: whole batches first, by exact search, and
neighbouring holes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from steadysow.growth.uptake import USABLE_WATER
from steadysow.inputs.crops import Crop, share_reservoir
from steadysow.plan.batch import Batch
from steadysow.search.candidates import Candidates, Turnaround
from steadysow.search.choose import Strand

# The search for a packing without a split gives up after this many tries; then batches are split.
MOST_TRIES = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A batch with its tote: strands of one sowing and transplant, and the holes of each."""

    tote: str
    strands: tuple[Strand, ...]
    holes: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Parcel:
    """Strands that are kept together if they can be: a batch to be."""

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


def pack(
    sizes: Sequence[int], room: Sequence[int], *, leave: Sequence[int] = (), until: Sequence[int] = ()
) -> tuple[int, ...] | None:
    """Put whole items into bins.

    Parameters
    ----------
    sizes
        Size of each item.
    room
        Free room of each bin.
    leave, until
        Day each item leaves, and day each bin must be empty; none: no matter.

    Returns
    -------
    tuple of int or None
        The bin of each item; ``None`` if there is no such packing, or none was found in `MOST_TRIES` tries.
    """
    leave, until = leave or [0] * len(sizes), until or [0] * len(room)
    order = sorted(range(len(sizes)), key=lambda item: (-sizes[item], -leave[item]))
    slack = sum(room) - sum(sizes)
    left = list(room)
    bins = [-1] * len(sizes)
    tries = 0

    def wasted() -> int:
        smallest = min((sizes[item] for item in order if bins[item] < 0), default=0)
        return sum(free for free in left if free < smallest)

    def place(number: int) -> bool:
        nonlocal tries
        if number == len(order):
            return True
        tries += 1
        if tries > MOST_TRIES or wasted() > slack:
            return False
        item = order[number]
        tried: set[tuple[int, int]] = set()
        # The tightest bin first: best fit decreasing is the first leaf of the search.
        for bin_ in sorted(range(len(left)), key=lambda b: left[b]):
            look = (left[bin_], until[bin_])
            if left[bin_] >= sizes[item] and until[bin_] >= leave[item] and look not in tried:
                tried.add(look)
                left[bin_] -= sizes[item]
                bins[item] = bin_
                if place(number + 1):
                    return True
                left[bin_] += sizes[item]
                bins[item] = -1
        return False

    if slack < 0 or not place(0):
        return None
    return tuple(bins)


def name_totes(
    candidates: Candidates, strands: Iterable[Strand], *, like: Sequence[Batch] = ()
) -> tuple[Placed, ...] | None:
    """Give every strand its tote and holes.

    Parameters
    ----------
    candidates
        What the strands' indices mean.
    strands
        What was chosen.
    like
        Batches planned earlier: what is sown and planted as they were stays in their holes if that can be.

    Returns
    -------
    tuple of Placed or None
        ``None`` if some plants found no tote: what was chosen for the groups cannot be told apart into totes.
    """
    by_group: dict[int, list[Strand]] = defaultdict(list)
    for strand in strands:
        by_group[strand.group].append(strand)
    placed: list[Placed] = []
    for g, members in by_group.items():
        # Crops apart are easier to tend; if that leaves no tote for the last of them, tightly.  In the order of days
        # alone a tote counted on its own can always be named.
        ways: list[tuple[bool, bool, Sequence[Batch]]] = [(False, True, ()), (True, True, ()), (False, False, ())]
        if like:
            ways.insert(0, (False, False, like))
        namings = (_Naming(candidates, g, is_tight=tight, is_fruit_first=fst, like=own) for tight, fst, own in ways)
        naming = next((naming for naming in namings if naming.place_all(members)), None)
        if naming is None:
            return None
        placed += naming.placed
    return tuple(placed)


@dataclass(slots=True)
class _Lid:
    """A tote while it is being filled.

    Who stands in which hole until when, and holes that were harvested before today.
    """

    name: str
    holes: int
    stays: list[tuple[Crop, int, int, tuple[int, ...]]]
    turnarounds: tuple[Turnaround, ...] = ()

    def turning(self, day: int) -> set[int]:
        return {each.hole for each in self.turnarounds if day < each.until_day}

    def standing(self, day: int, turnaround: int) -> list[tuple[Crop, int, int, tuple[int, ...]]]:
        return [stay for stay in self.stays if stay[1] <= day < stay[2] + turnaround]


# How many stays each lid had, and how many batches were placed.
_Mark = tuple[tuple[int, ...], int]


class _Naming:
    """The working state of `name_totes` for one group."""

    def __init__(
        self, candidates: Candidates, g: int, *, is_tight: bool, is_fruit_first: bool, like: Sequence[Batch]
    ) -> None:
        self.candidates, self.g, self.group = candidates, g, candidates.groups[g]
        self.turn = candidates.garden.turnaround_days
        self.lids = [
            _Lid(name, self.group.holes, [], tuple(each for each in candidates.turnarounds if each.tote == name))
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
        """Plant a day's parcels into holes of dwc totes.

        All of them whole if that can be, else in as few parts as can be.
        """
        # A batch that waits in the nursery may not be parted, so it chooses first.
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
        """Put parcels whole by exact search, where any of them may stand with any other."""
        crops = {self._crop(parcel) for parcel in parcels}
        others = {stay[0] for lid in self.lids for stay in lid.stays if stay[2] + self.turn > day}
        if not all(share_reservoir(a, b) for a in crops for b in crops | others):
            return False
        room, sizes = [self._free_room(lid, day) for lid in self.lids], [self._size(parcel) for parcel in parcels]
        unit = _unit([*room, *sizes])
        chosen = pack([int(size / unit) for size in sizes], [int(free / unit) for free in room])
        if chosen is None or not self._has_holes(day, parcels, chosen):
            return False
        for b, parcel in zip(chosen, parcels, strict=True):
            self._put(self.lids[b], day, parcel)
        return True

    def _has_holes(self, day: int, parcels: list[Parcel], chosen: Sequence[int]) -> bool:
        """Say whether each tote has holes for the parcels chosen for it.

        Where turnaround passes, holes may be fewer than room.
        """
        needed = [0] * len(self.lids)
        until = max(parcel.leaves_day for parcel in parcels)
        for b, parcel in zip(chosen, parcels, strict=True):
            needed[b] += parcel.plants
        holes = (len(self._free_holes(lid, day, until)) for lid in self.lids)
        return all(number <= free for number, free in zip(needed, holes, strict=True))

    def _put_somewhere(self, day: int, parcel: Parcel, *, split: bool) -> bool:
        """Put a parcel whole where it fits best, or in as few parts as can be."""
        crop = self._crop(parcel)
        fits = {lid.name: self._most(lid, day, crop, parcel.leaves_day) for lid in self.lids}
        whole = [lid for lid in self.lids if fits[lid.name] >= parcel.plants]
        if whole:
            lid = min(whole, key=lambda lid: (self._moves(parcel, lid), *self._unfit(lid, day, crop), fits[lid.name]))
            self._put(lid, day, parcel)
            return True
        if not split or self._begun(parcel) is not None:
            return False
        for lid in sorted(self.lids, key=lambda lid: -fits[lid.name]):
            if fits[lid.name] and parcel.strands:
                part, parcel = parcel.part(min(parcel.plants, fits[lid.name]))
                self._put(lid, day, part)
        return not parcel.strands

    def _fill(self, day: int, parcels: list[Parcel]) -> bool:
        """Fill kratky totes that stand empty, as few as can be."""
        before = self._mark()
        empty = [lid for lid in self.lids if not lid.standing(day, self.turn) and not lid.turning(day)]
        if not self._fill_tightly(day, parcels, empty):
            return False
        if len(self.placed) - before[1] > len(parcels):
            used = [lid for lid in empty if lid.stays and lid.stays[-1][1] == day]
            until = [max(stay[2] for stay in lid.stays if stay[1] == day) for lid in used]
            self._back_to(before)
            if not self._fill_packed(day, parcels, used, until):
                return self._fill_tightly(day, parcels, empty)
        return True

    def _fill_tightly(self, day: int, parcels: list[Parcel], lids: list[_Lid]) -> bool:
        """Fill tote after tote, those that leave last first, so that the later totes empty early.

        Parcels may be parted.
        """
        parcels = sorted(
            parcels, key=lambda parcel: (self._begun(parcel) is None, -parcel.leaves_day, -self._size(parcel))
        )
        for lid in lids:
            left: list[Parcel] = []
            for parcel in parcels:
                most = min(parcel.plants, self._most(lid, day, self._crop(parcel), parcel.leaves_day))
                if most == 0 or (most < parcel.plants and self._begun(parcel) is not None):
                    left.append(parcel)
                    continue
                part, rest = parcel.part(most)
                self._put(lid, day, part)
                if rest.strands:
                    left.append(rest)
            parcels = left
        return not parcels

    def _fill_packed(self, day: int, parcels: list[Parcel], lids: list[_Lid], until: list[int]) -> bool:
        """Fill the same totes, each to be empty as early, with no parcel parted, if that can be."""
        crops = {self._crop(parcel) for parcel in parcels}
        if not self.group.refilled or not all(share_reservoir(a, b) for a in crops for b in crops):
            return False
        sizes = [self._size(parcel) for parcel in parcels]
        unit = _unit(sizes)
        leave = [parcel.leaves_day for parcel in parcels]
        chosen = pack([int(size / unit) for size in sizes], [int(1 / unit)] * len(lids), leave=leave, until=until)
        if chosen is None:
            return False
        for b, parcel in zip(chosen, parcels, strict=True):
            self._put(lids[b], day, parcel)
        return True

    def _size(self, parcel: Parcel) -> Fraction:
        return parcel.plants * self._room_of(self._crop(parcel))

    def _moves(self, parcel: Parcel, lid: _Lid) -> bool:
        begun = self._begun(parcel)
        return begun is not None and begun.tote != lid.name

    def _mark(self) -> _Mark:
        return tuple(len(lid.stays) for lid in self.lids), len(self.placed)

    def _back_to(self, mark: _Mark) -> None:
        for lid, length in zip(self.lids, mark[0], strict=True):
            del lid.stays[length:]
        del self.placed[mark[1] :]

    def _most(self, lid: _Lid, day: int, crop: Crop, until: int) -> int:
        """Give the most plants of a crop that still fit into a tote for a stay."""
        if not self._suits(lid, day, crop, until):
            return 0
        most = min(int(self._free_room(lid, day) / self._room_of(crop)), len(self._free_holes(lid, day, until)))
        if not self.group.refilled:
            drunk = sum(stay[0].litres_a_plant * len(stay[3]) for stay in lid.standing(day, 0))
            most = min(most, int((USABLE_WATER * self.group.litres - drunk) / crop.litres_a_plant + 1e-9))
        return most

    def _free_room(self, lid: _Lid, day: int) -> Fraction:
        return 1 - sum((len(holes) * self._room_of(crop) for crop, _, _, holes in lid.standing(day, 0)), Fraction(0))

    def _free_holes(self, lid: _Lid, day: int, until: int) -> list[int]:
        """Give the holes that nothing stands in, or is known to come to, during a stay and its turnaround."""
        stays = (stay for stay in lid.stays if stay[1] < until + self.turn and day < stay[2] + self.turn)
        taken = {hole for stay in stays for hole in stay[3]} | lid.turning(day)
        return [hole for hole in range(1, lid.holes + 1) if hole not in taken]

    def _suits(self, lid: _Lid, day: int, crop: Crop, until: int) -> bool:
        """Say whether a crop may stand with all that stands in a tote, or is known to come, during a stay."""
        others = {other for other, enters, leaves, _ in lid.stays if enters < until and day < leaves}
        return all(share_reservoir(crop, other) for other in others)

    def _unfit(self, lid: _Lid, day: int, crop: Crop) -> tuple[int, int]:
        """Say how little a tote suits a crop: by other crops in it, and for a tight naming first by standing empty."""
        standing = {stay[0].name for stay in lid.standing(day, 0)}
        return int(self.is_tight and not standing), len(standing - {crop.name})

    def _put(self, lid: _Lid, day: int, parcel: Parcel) -> None:
        parcel = Parcel(tuple(sorted(parcel.strands, key=lambda strand: strand.leaves_day)))
        self._settle(lid, parcel, _neighbours(self._free_holes(lid, day, parcel.leaves_day), parcel.plants))

    def _stand(self, parcel: Parcel) -> None:
        """Leave a begun batch in its holes."""
        batch = self._begun(parcel)
        assert batch is not None
        lid = next(lid for lid in self.lids if lid.name == batch.tote)
        gone = {hole for harvest in batch.harvests if harvest.kind == "head" for hole in harvest.holes}
        self._settle(lid, parcel, [hole for hole in batch.holes if hole not in gone])

    def _stay(self, parcel: Parcel) -> bool:
        """Put a parcel into the holes of the batch that it was, if nothing has taken them."""
        known = [batch for batch in self.like if self._is_like(batch, parcel)]
        if not known:
            return False
        batch = min(known, key=lambda batch: (abs(batch.plants - parcel.plants), batch.id))
        lid = next(lid for lid in self.lids if lid.name == batch.tote)
        day, until = parcel.strands[0].transplant_day, parcel.leaves_day
        free = self._free_holes(lid, day, until)
        own = [hole for hole in batch.holes if hole in free][: parcel.plants]
        own += [hole for hole in free if hole not in batch.holes][: parcel.plants - len(own)]
        if len(own) < parcel.plants or not self._suits(lid, day, self._crop(parcel), until):
            return False
        self.like.remove(batch)
        strands = tuple(sorted(parcel.strands, key=lambda strand: strand.leaves_day))
        self._settle(lid, Parcel(strands), sorted(own))
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

    def _settle(self, lid: _Lid, parcel: Parcel, free: Sequence[int]) -> None:
        crop, holes = self._crop(parcel), []
        for strand in parcel.strands:
            own, free = tuple(free[: strand.plants]), free[strand.plants :]
            lid.stays.append((crop, strand.transplant_day, strand.leaves_day, own))
            holes.append(own)
        self.placed.append(Placed(tote=lid.name, strands=parcel.strands, holes=tuple(holes)))


def _parcels(candidates: Candidates, strands: list[Strand]) -> list[Parcel]:
    """Group strands into batches: heads of one sowing and transplant together, whatever day each is taken.

    A head that is cleared and not taken would keep its hole until its batch is cleared, so it is a batch of its own.
    """
    together: dict[object, list[Strand]] = defaultdict(list)
    for number, strand in enumerate(strands):
        is_taken = strand.begun is not None or strand.steps[-1].number > 0
        heads = candidates.lines[strand.line].crop.harvest.kind == "head" and is_taken
        key = (strand.line, strand.begun, strand.sown_day, strand.transplant_day, None if heads else number)
        together[key].append(strand)
    return [Parcel(tuple(members)) for members in together.values()]


def _neighbours(free: list[int], number: int) -> list[int]:
    """Choose holes next to each other: the shortest run of free holes that suffices, else the first free ones."""
    runs: list[list[int]] = []
    for hole in free:
        if runs and hole == runs[-1][-1] + 1:
            runs[-1].append(hole)
        else:
            runs.append([hole])
    fitting = [run for run in runs if len(run) >= number]
    return min(fitting, key=len)[:number] if fitting else free[:number]


def _unit(parts: Iterable[Fraction]) -> Fraction:
    """Give a fraction of which all are whole multiples."""
    return Fraction(1, lcm(*(part.denominator for part in parts)))
