"""A garden's folder, opened: what commands and notebooks do with it.

`load` reads a folder and gives a `GardenFolder`; its methods plan, record, mend and list chores, and keep the files of
the folder in step.  Hides which file each answer comes from, and in what order files are written.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from steadysow.door.clock import Day, day_of, time_of
from steadysow.door.results import Checked, ChoreList, MendedPlan, OnRecorded, Planned, PlanWork, Recorded
from steadysow.errors import one_fault, raise_faults
from steadysow.inputs.garden_file import GARDEN_FILE
from steadysow.inputs.journal import JOURNAL_FILE
from steadysow.pipeline import Inputs, read

if TYPE_CHECKING:
    from steadysow.growth.forecast import Forecast
    from steadysow.inputs.journal import Fact, Journal
    from steadysow.plan.plan import Plan
    from steadysow.search.mending import Freedom
    from steadysow.search.solver import OnProgress
    from steadysow.standing.recording import Understood
    from steadysow.upkeep.supplies import Supplies


@dataclass(frozen=True, slots=True, kw_only=True)
class GardenFolder(Inputs):
    """A garden's folder: the garden, its journal, and what can be done with them.

    Each method looks at the folder first and reads its files again if they have changed, so a fact that was just
    recorded counts at once.  `today` may be a date or a text; left out, it is the day of the clock.

    Attributes
    ----------
    folder
        Where the files are.
    stamps
        Name, time of change and size of each file that was read.
    """

    folder: Path
    stamps: tuple[tuple[str, int, int], ...] = ()

    def now(self) -> GardenFolder:
        """Give the folder as its files are now."""
        return self if self.stamps == _stamps(self.folder) else load(self.folder)

    # --- plans ---

    def saved_plan(self) -> Plan | None:
        """Read the plan in force from ``plan.json``, just as it was saved; ``None`` if there is none.

        Raises
        ------
        InputFaults
            If the file cannot be read.
        """
        from steadysow.plan.plan_file import load as load_plan

        return load_plan(self.folder)

    def plan_in_force(self, today: Day | None = None) -> Plan:
        """Give the plan in force as it was saved, and refuse one that the garden cannot follow.

        Raises
        ------
        InputFaults
            If there is no plan, or if the garden no longer has a tote, place, crop or want of a batch to come.
        """
        from steadysow.standing.standing import strangers

        day, here = day_of(today), self.now()
        saved = here.saved_plan()
        if saved is None:
            raise one_fault(str(here.folder), "there is no plan yet", "Run `steadysow plan`")
        to_come = (batch for batch in saved.batches if batch.sown_on >= day)
        raise_faults(strangers(here.garden, (*here.standing(saved, day).begun, *to_come)))
        return saved

    def plan_now(self, today: Day | None = None) -> Plan:
        """Give the plan in force with the journal applied, without batches that the garden no longer knows.

        Raises
        ------
        InputFaults
            As `plan_in_force`.
        """
        from steadysow.standing.standing import plan_as_recorded

        day, here = day_of(today), self.now()
        saved = here.plan_in_force(day)
        # Without facts the plan reads as it was saved.
        if here.journal.facts:
            saved = plan_as_recorded(saved, here.standing(saved, day), day)
        return here.known(saved)

    def plan(
        self,
        today: Day | None = None,
        *,
        afresh: bool = False,
        as_published: bool = False,
        seconds: float = 10.0,
        on_progress: OnProgress | None = None,
    ) -> Plan:
        """Choose what to sow, where and when; save ``plan.json`` and ``calendar.ics``.

        If nothing has changed since the plan in force was made, give that one and solve nothing.

        Parameters
        ----------
        today
            Nothing is planned before this day.
        afresh
            Solve even if nothing has changed, and search as if nothing were planned.
        as_published
            Plan by the profiles alone, without what the garden's own record says.
        seconds
            Longest time for solving [s].
        on_progress
            Called with the best share and the bound so far, and the seconds since the start.

        Raises
        ------
        InputFaults
            If something that has begun needs what the garden no longer has.
        KeyboardInterrupt
            If Ctrl-C comes before anything was found; nothing is saved then.
        """
        return self.planned(
            today, afresh=afresh, as_published=as_published, seconds=seconds, on_progress=on_progress
        ).plan

    def planned(
        self,
        today: Day | None = None,
        *,
        afresh: bool = False,
        as_published: bool = False,
        seconds: float = 10.0,
        on_progress: OnProgress | None = None,
        now: datetime | None = None,
    ) -> Planned:
        """Do what `plan` does, and also give the work that the plan asks for.

        Parameters
        ----------
        today, afresh, as_published, seconds, on_progress
            As for `plan`.
        now
            The time that the calendar is written at; left out, that of the clock.
        """
        from steadysow import pipeline
        from steadysow.plan.plan_file import save
        from steadysow.standing.standing import strangers

        day, here = day_of(today), self.now()
        old = here.saved_plan()
        here = here if as_published else here.learnt()
        raise_faults(strangers(here.garden, here.standing(old, day).begun))
        plan = old
        if old is None or afresh or old.fingerprint != here.fingerprint(day):
            plan = pipeline.make_plan(
                here,
                today=day,
                old=old,
                is_afresh=afresh,
                least_id=here._least_id() if old is None else 1,
                seconds=seconds,
                on_progress=on_progress,
            )
            # Interrupted this early, there is only the plan to sow nothing, which must not replace a better one.
            if plan.proof.status == "interrupted" and not any(batch.state == "planned" for batch in plan.batches):
                raise KeyboardInterrupt
            save(plan, here.folder)
        assert plan is not None
        work = here.work_of(plan)
        # Also where nothing was planned anew: the last time, something may have come between.
        here.write_calendar(work, now=now)
        return Planned(
            plan=plan, is_new=plan is not old, work=work, learnt=() if as_published else here.learnt_sentences()
        )

    def rebalance(
        self,
        today: Day | None = None,
        *,
        free: Iterable[str] = (),
        lost: Iterable[str | int] = (),
        freedom: Freedom = "middle",
        dry_run: bool = False,
        as_published: bool = False,
        seconds: float = 10.0,
        on_recorded: OnRecorded | None = None,
        on_progress: OnProgress | None = None,
        now: datetime | None = None,
    ) -> MendedPlan:
        """Mend the plan in force with the fewest changes; save ``plan.json`` and ``calendar.ics``.

        Parameters
        ----------
        today
            What lies before this day has happened.
        free
            Totes that are empty today; what stood there is recorded as cleared.
        lost
            Batches whose plants are all lost, which is recorded.
        freedom
            How much may change for a better harvest: ``low``, ``middle`` or ``high``.
        dry_run
            Write nothing.
        on_recorded
            Called with the facts that `free` and `lost` added, before solving.
        as_published, seconds, on_progress
            As for `plan`.
        now
            The time that facts and calendar are written at; left out, that of the clock.

        Raises
        ------
        InputFaults
            If there is no plan that the garden can follow, or a fact is refused.
        """
        from steadysow import pipeline
        from steadysow.advice.differences import goes_in
        from steadysow.door.words import freed
        from steadysow.plan.plan_file import save

        day, here = day_of(today), self.now()
        old, totes, batches = here.plan_in_force(day), tuple(free), tuple(str(number) for number in lost)
        if totes or batches:

            def understand(journal: Journal) -> Understood:
                return freed(totes, batches, here.grounds(old, day, journal))

            here, recorded = here._add(understand, old, now=now, dry_run=dry_run)
            if on_recorded is not None:
                on_recorded(recorded)
        if totes:
            here = replace(here, garden=replace(here.garden, also_on=(day,)))
        here = here if as_published else here.learnt()
        rebalanced = pipeline.rebalance(
            here, today=day, old=old, freedom=freedom, seconds=seconds, on_progress=on_progress
        )
        if not dry_run:
            save(rebalanced.plan, here.folder)
            here.write_calendar(here.work_of(rebalanced.plan), now=now)
        names = {tote.name.casefold(): tote.name for tote in here.garden.totes}
        return MendedPlan(
            rebalanced=rebalanced,
            answers=tuple(goes_in(rebalanced.plan, names[tote.casefold()], day) for tote in totes),
            learnt=() if as_published else here.learnt_sentences(),
        )

    def work_of(self, plan: Plan) -> PlanWork:
        """Work out the water books and the chores of a plan, each once."""
        from steadysow.chores.listing import list_chores
        from steadysow.upkeep.water import keep_books

        known, facts = self.known(plan), self.journal.standing
        books = keep_books(self.garden, known, facts)
        chores = list_chores(self.garden, known, facts=facts, books=books)
        return PlanWork(garden=self.garden, plan=plan, known=known, books=books, chores=chores)

    # --- every day ---

    def chores(self, today: Day | None = None, *, since: Day = "today", days: int = 7) -> ChoreList:
        """List what there is to do in some days, and what is overdue.

        Parameters
        ----------
        today
            Overdue is what lies before this day.
        since
            The first day.
        days
            How many days to look ahead.

        Raises
        ------
        InputFaults
            As `plan_in_force`.
        """
        from steadysow.chores.listing import list_chores, overdue

        day, here = day_of(today), self.now()
        from_on = day_of(since, today=day, argument="--from")
        until_on = from_on + timedelta(days=days)
        facts = here.journal.standing
        every = list_chores(here.garden, here.plan_now(day), facts=facts)
        return ChoreList(
            from_on=from_on,
            until_on=until_on,
            due=tuple(chore for chore in every if from_on <= chore.on < until_on and not chore.is_recorded),
            overdue=overdue(every, facts, day) if from_on <= day else (),
            next_on=min((chore.on for chore in every if chore.on >= until_on), default=None),
        )

    def record(
        self,
        fact: str,
        *what: str | int,
        on: Day = "today",
        plants: int | None = None,
        grams: float | None = None,
        holes: str = "",
        tote: str = "",
        want: str = "",
        litres: float | None = None,
        until: Day | None = None,
        note: str = "",
        today: Day | None = None,
        on_recorded: OnRecorded | None = None,
        now: datetime | None = None,
    ) -> Recorded:
        """Write down what happened in the journal, and bring the calendar up to date.

        Parameters
        ----------
        fact
            The kind of fact, such as ``harvested``; or ``done``, or ``undo``.
        what
            Batch numbers, totes or a crop, as `steadysow record` takes them.
        on
            When it happened; a weekday is the last such day.
        plants, grams, holes, tote, want, litres, until, note
            What goes with the fact; `grams` [g], `litres` [L], `holes` such as ``1-3,7``.
        today
            Nothing that lies after this day can be recorded.
        on_recorded
            Called with the facts once they are in the journal, before the calendar is written.
        now
            The time that facts and calendar are written at; left out, that of the clock.

        Raises
        ------
        InputFaults
            If it is not clear what is meant, or if it cannot have happened.
        """
        from steadysow.door.words import CHANGES_THE_PLAN, broken_by, read_holes, read_kind, understand
        from steadysow.standing.recording import Saying

        day = day_of(today)
        word = read_kind(fact)
        saying = Saying(
            kind="note" if word == "done" else word,
            what=tuple(str(each) for each in what),
            on=day_of(on, today=day, argument="--on", is_past=True),
            plants=plants,
            grams=grams,
            holes=read_holes(holes),
            tote=tote,
            want=want,
            litres=litres,
            until=day_of(until, today=day, argument="--until") if until else None,
            text=note,
        )
        here = self.now()
        plan = here.saved_plan()
        then, recorded = here._add(
            lambda journal: understand(word, saying, here.grounds(plan, day, journal)), plan, now=now
        )
        if on_recorded is not None:
            on_recorded(recorded)
        if plan is None:
            return recorded
        then.write_calendar(then.work_of(then.plan_now(day)), now=now)
        if word not in CHANGES_THE_PLAN:
            return recorded
        return replace(recorded, broken=broken_by(then.grounds(plan, day), then.made_by(plan)))

    def _add(
        self,
        understand: Callable[[Journal], Understood],
        plan: Plan | None,
        *,
        now: datetime | None,
        dry_run: bool = False,
    ) -> tuple[GardenFolder, Recorded]:
        """Add facts to the journal, on a dry run only to the value; give the folder with them, and what was added."""
        from steadysow.door.words import sentence_of
        from steadysow.inputs.journal import imagined
        from steadysow.inputs.journal_file import add_facts

        understood: list[Understood] = []

        def make(journal: Journal) -> tuple[Fact, ...]:
            understood.append(understand(journal))
            return understood[-1].facts

        if dry_run:
            journal, added = imagined(self.journal, make(self.journal))
        else:
            new_uuid = plan.uuid if plan is not None else str(uuid.uuid4())
            journal, added = add_facts(self.folder, make, new_uuid=new_uuid, now=time_of(now))
        after = replace(self, journal=journal, stamps=self.stamps if dry_run else _stamps(self.folder))
        recorded = Recorded(
            facts=added,
            sentences=tuple(sentence_of(fact, self.garden.units, journal) for fact in added),
            warnings=understood[-1].warnings,
        )
        return after, recorded

    def write_calendar(
        self, work: PlanWork | None = None, target: Path | str | None = None, *, now: datetime | None = None
    ) -> bool:
        """Write the calendar file, and say whether it changed.

        Parameters
        ----------
        work
            The plan and its chores; left out, those of the plan in force today.
        target
            A folder, or a file; left out, the garden's folder.
        now
            The time it is written at; left out, that of the clock.
        """
        from steadysow.outputs.calendar_state import STATE_NAME
        from steadysow.outputs.ical import write_calendar

        work = work or self.work_of(self.plan_now())
        return write_calendar(
            Path(target) if target is not None else self.folder,
            work.garden,
            work.plan,
            work.chores,
            now=time_of(now),
            state_file=self.folder / STATE_NAME,
        )

    # --- questions ---

    def supplies(self, today: Day | None = None, *, weeks: int | None = None) -> Supplies:
        """Say what the plan in force uses up, what is missing, when to order it, and what it costs.

        Parameters
        ----------
        today
            The first day, or the plan's first if that is later.
        weeks
            How many weeks; left out, to the end of the plan.

        Raises
        ------
        InputFaults
            As `plan_in_force`.
        """
        from steadysow.upkeep.supplies import supplies_of
        from steadysow.upkeep.water import keep_books

        day, here = day_of(today), self.now()
        plan = here.plan_now(day)
        books = keep_books(here.garden, plan, here.journal.standing)
        from_on = max(day, plan.from_on)
        until_on = max(plan.until_on, from_on + timedelta(1)) if weeks is None else from_on + timedelta(weeks=weeks)
        return supplies_of(here.garden, plan, books, from_on=from_on, until_on=until_on)

    def forecasts(
        self,
        crop: str,
        *,
        places: Iterable[str] = (),
        sown_on: Iterable[Day] = ("today",),
        today: Day | None = None,
    ) -> tuple[Forecast, ...]:
        """Say what comes of sowing a crop on some days at some places.

        Parameters
        ----------
        crop
            The name of any shipped crop, or of one of the garden's own.
        places
            Names of places; left out, all.
        sown_on
            The days of sowing.
        today
            What ``today`` means in `sown_on`.

        Raises
        ------
        InputFaults
            If there is no such crop or place.
        """
        from steadysow.door.profiles import crop_named, crops, forecasts_of

        here, day = self.now(), day_of(today)
        days = [day_of(each, today=day, argument="--sown") for each in sown_on]
        return forecasts_of(crop_named(crop, crops(here.folder)), here.garden, tuple(places), days)

    def check(self, today: Day | None = None) -> Checked:
        """Say what is doubtful, where light and water of the plan in force fall short, and what to be careful about.

        Raises
        ------
        InputFaults
            If there is a plan that the garden cannot follow.
        """
        from steadysow.door.checking import checked

        day, here = day_of(today), self.now()
        saved = here.saved_plan()
        if saved is None:
            return checked(here.garden, day)
        return checked(here.garden, day, here.known(saved), here.work_of(here.plan_now(day)))

    def levels(self, plan: Plan, today: Day | None = None) -> dict[str, float]:
        """Give the water in each tote that is in use on a day, by name [L]."""
        from steadysow.upkeep.water import keep_books, levels_on

        return levels_on(keep_books(self.garden, self.known(plan), self.journal.standing), day_of(today))

    def known(self, plan: Plan) -> Plan:
        """Give a plan without batches of totes, places, crops or wants that the garden no longer has."""
        from steadysow.standing.standing import is_known

        return replace(plan, batches=tuple(batch for batch in plan.batches if is_known(self.garden, batch)))

    def _least_id(self) -> int:
        """Give a number beyond all batches of a calendar whose plan was lost."""
        from steadysow.outputs.calendar_state import STATE_NAME, read_state

        state = read_state(self.folder / STATE_NAME)
        keys = (revision.key.split("/") for revision in (*state.revisions, *state.tasks))
        return 1 + max((int(part) for key in keys for part in key[:2] if part.isdecimal()), default=0)


def load(folder: Path | str) -> GardenFolder:
    """Open a garden's folder.

    Raises
    ------
    InputFaults
        If there is no garden file, or if anything is wrong with the files; it holds all the faults.
    """
    folder = Path(folder)
    if not folder.is_dir():
        raise one_fault(str(folder), "there is no such folder", "Name the garden's folder with -g")
    if not (folder / GARDEN_FILE).exists():
        write = f"Run `steadysow init {folder}` to begin one, or name the garden's folder with -g"
        raise one_fault(str(folder), f"there is no {GARDEN_FILE} in this folder", write)
    # The stamps first: a file that changes in between is read once more.
    stamps, inputs = _stamps(folder), read(folder)
    return GardenFolder(garden=inputs.garden, journal=inputs.journal, folder=folder, stamps=stamps)


def _stamps(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """Give name, time of change and size of each file that a person or a command may change."""
    found = []
    for file in (folder / GARDEN_FILE, folder / JOURNAL_FILE, *sorted((folder / "crops").glob("*.yaml"))):
        try:
            status = file.stat()
        except OSError:
            continue
        found.append((file.name, status.st_mtime_ns, status.st_size))
    return tuple(found)
