"""The shop: what one asks it and what one gives it."""

import itertools
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from sqlalchemy import Engine

from hoopwright.bender import CalibrationRecord, LoggedBend, ShopBender, ShopDie, Stick, TubeBatch
from hoopwright.findings import Finding
from hoopwright.store.shop import bends, calibrations, named
from hoopwright.store.shop.engines import reading, writing
from hoopwright.store.shop.opening import OWN_MIGRATIONS, Migrations, open_engine
from hoopwright.store.shop.stored import Stored
from hoopwright.store.shop_place import ShopPlace, cannot_be_opened, shop_place
from hoopwright.tubes import TubeSize


@dataclass(frozen=True, kw_only=True)
class Shop:
    """An open shop database. Each call is kept whole before it returns, or not at all.

    Args:
        place: Where it is.
        engine: Its connections.
        findings: What opening it came to, such as an upgrade.
    """

    place: ShopPlace
    engine: Engine
    findings: tuple[Finding, ...] = ()

    @classmethod
    def open(cls, where: "str | Path | ShopPlace", *, migrations: Migrations = OWN_MIGRATIONS) -> "Shop":
        """Open the shop of a file or of an address; a file that is not there is made.

        Raises:
            UserError: `SHOP-020` to `SHOP-023`, `SHOP-029`.
        """
        place = where if isinstance(where, ShopPlace) else shop_place(str(where))
        if place is None:
            raise cannot_be_opened("none", "the tool was told to work without a shop", "Name one.")
        engine, findings = open_engine(place, migrations)
        return cls(place=place, engine=engine, findings=findings)

    def close(self) -> None:
        """Let go of every connection."""
        self.engine.dispose()

    def __enter__(self) -> "Shop":
        return self

    def __exit__(
        self,
        _kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        self.close()

    # Things with a name. Adding the same again changes nothing; `change` makes a further version.

    def add_bender(self, bender: ShopBender, *, change: bool = False) -> Stored[ShopBender]:
        """Keep a bender; raises as `named.keep`."""
        with writing(self.engine, self.place) as turn:
            return named.keep(turn, named.BENDERS, bender, change=change)

    def add_die(self, die: ShopDie, *, change: bool = False) -> Stored[ShopDie]:
        """Keep a die; raises as `named.keep`."""
        with writing(self.engine, self.place) as turn:
            return named.keep(turn, named.DIES, die, change=change)

    def add_batch(self, batch: TubeBatch, *, change: bool = False) -> Stored[TubeBatch]:
        """Keep a tube batch; raises as `named.keep`."""
        with writing(self.engine, self.place) as turn:
            return named.keep(turn, named.BATCHES, batch, change=change)

    def add_sticks(self, sticks: Iterable[Stick], *, change: bool = False) -> tuple[Stored[Stick], ...]:
        """Keep sticks and offcuts, all or none; raises as `named.keep`."""
        with writing(self.engine, self.place) as turn:
            return tuple(named.keep(turn, named.STICKS, stick, change=change) for stick in sticks)

    def take_in(self, batch: TubeBatch, *, length_mm: float, count: int) -> tuple[Stored[Stick], ...]:
        """Keep a batch where it is new, and sticks of it, all or none; they are labelled when nobody else writes.

        Args:
            batch: Their batch.
            length_mm: Of each.
            count: How many.

        Raises:
            UserError: As `named.keep`; `SHOP-001` to `SHOP-003` for a stick that cannot be.
        """
        with writing(self.engine, self.place) as turn:
            named.keep(turn, named.BATCHES, batch)
            taken = {stick.label for stick in named.latest(turn.connection, named.STICKS)}
            labels = (f"{batch.name}-{number}" for number in itertools.count(1))
            free = itertools.islice((label for label in labels if label not in taken), count)
            sticks = [Stick(label=label, batch=batch.name, length_mm=length_mm) for label in free]
            return tuple(named.keep(turn, named.STICKS, stick) for stick in sticks)

    def use_stick(self, used: Stick, offcut: Stick | None) -> tuple[Stored[Stick], ...]:
        """Keep a stick as used, and what is left of it as a new one, both or neither; raises as `named.keep`."""
        return self.use_sticks([(used, offcut)])

    def use_sticks(self, pairs: Iterable[tuple[Stick, Stick | None]]) -> tuple[Stored[Stick], ...]:
        """Keep sticks as used or as kept again, and what is left of each, all or none; raises as `named.keep`."""
        kept: list[Stored[Stick]] = []
        with writing(self.engine, self.place) as turn:
            for used, offcut in pairs:
                kept.append(named.keep(turn, named.STICKS, used, change=True))
                if offcut is not None:
                    kept.append(named.keep(turn, named.STICKS, offcut))
        return tuple(kept)

    def bender(self, name: str) -> ShopBender:
        """A bender as it is in force; raises `SHOP-025`."""
        with reading(self.engine, self.place) as connection:
            return named.one(connection, named.BENDERS, name)

    def die(self, name: str) -> ShopDie:
        """A die as it is in force; raises `SHOP-025`."""
        with reading(self.engine, self.place) as connection:
            return named.one(connection, named.DIES, name)

    def batch(self, name: str) -> TubeBatch:
        """A tube batch as it is in force; raises `SHOP-025`."""
        with reading(self.engine, self.place) as connection:
            return named.one(connection, named.BATCHES, name)

    def stick(self, label: str) -> Stick:
        """A stick or offcut as it is in force; raises `SHOP-025`."""
        with reading(self.engine, self.place) as connection:
            return named.one(connection, named.STICKS, label)

    def stick_versions(self, label: str) -> tuple[Stick, ...]:
        """Every record of a stick or offcut, oldest first; none where it is not kept."""
        with reading(self.engine, self.place) as connection:
            return named.versions(connection, named.STICKS, label)

    def benders(self, *, retired: bool = False) -> tuple[ShopBender, ...]:
        """Benders by name; with `retired` also those out of use."""
        with reading(self.engine, self.place) as connection:
            return tuple(b for b in named.latest(connection, named.BENDERS) if retired or not b.retired)

    def dies(self, *, retired: bool = False) -> tuple[ShopDie, ...]:
        """Dies by name; with `retired` also those out of use."""
        with reading(self.engine, self.place) as connection:
            return tuple(die for die in named.latest(connection, named.DIES) if retired or not die.retired)

    def batches(self, *, retired: bool = False) -> tuple[TubeBatch, ...]:
        """Tube batches by name; with `retired` also those of which none is left."""
        with reading(self.engine, self.place) as connection:
            return tuple(b for b in named.latest(connection, named.BATCHES) if retired or not b.retired)

    def sticks(self, *, batch: str | None = None, used: bool = False) -> tuple[Stick, ...]:
        """Sticks and offcuts by label; with `used` also those that are gone."""
        with reading(self.engine, self.place) as connection:
            every = named.latest(connection, named.STICKS)
        return tuple(s for s in every if (used or s.state == "kept") and batch in (None, s.batch))

    # What was measured.

    def add_calibration(self, record: CalibrationRecord) -> Stored[CalibrationRecord]:
        """Keep sample bends; raises as `calibrations.keep_calibration`."""
        with writing(self.engine, self.place) as turn:
            return calibrations.keep_calibration(turn, record)

    def calibrations(
        self,
        *,
        die: str | None = None,
        batch: str | None = None,
        bender: str | None = None,
        tube: TubeSize | None = None,
        every: bool = False,
    ) -> tuple[CalibrationRecord, ...]:
        """Kept sample bends in the order of keeping; with `every` also those that were corrected."""
        equal = {"die": die, "batch": batch, "bender": bender}
        with reading(self.engine, self.place) as connection:
            return calibrations.find_calibrations(connection, equal=equal, tube=tube, every=every)

    def add_bend(self, bend: LoggedBend) -> Stored[LoggedBend]:
        """Log a bend. The same key with the same values is kept once; raises as `bends.keep_bends`."""
        return self.add_bends([bend])[0]

    def add_bends(self, logged: Iterable[LoggedBend]) -> tuple[Stored[LoggedBend], ...]:
        """Log bends, all or none; raises as `bends.keep_bends`."""
        with writing(self.engine, self.place) as turn:
            return bends.keep_bends(turn, tuple(logged))

    def bend(self, key: str) -> LoggedBend | None:
        """The bend of a key, also one that was corrected; None where there is none."""
        with reading(self.engine, self.place) as connection:
            return bends.one_bend(connection, key)

    def count_bends(self) -> int:
        """How many bends are logged, with those that were corrected."""
        with reading(self.engine, self.place) as connection:
            return bends.count(connection)

    def bends(
        self,
        *,
        die: str | None = None,
        batch: str | None = None,
        tube: TubeSize | None = None,
        bender: str | None = None,
        project: str | None = None,
        bar: str | None = None,
        after_sequence: int = 0,
        every: bool = False,
    ) -> tuple[LoggedBend, ...]:
        """Logged bends in the order of keeping; with `every` also those that were corrected or taken back."""
        equal = {"die": die, "batch": batch, "bender": bender, "project": project, "bar": bar}
        with reading(self.engine, self.place) as connection:
            return bends.find_bends(
                connection, equal=equal, tube=tube, after_sequence=after_sequence, every=every
            )
