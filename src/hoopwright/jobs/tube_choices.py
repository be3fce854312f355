"""All the tube of the shop, and what of it a bar can have been cut from."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hoopwright.bender import Stick, TubeBatch, same_tube
from hoopwright.jobs.shop_if_there import shop_if_there
from hoopwright.jobs.shops import refuse_missing
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import TubeUsed


@dataclass(frozen=True, kw_only=True)
class ShopTube:
    """The tube that the shop knows.

    Args:
        batches: By name, also those of which none is left.
        sticks: Sticks and offcuts by label, also those that are used.
    """

    batches: tuple[TubeBatch, ...] = ()
    sticks: tuple[Stick, ...] = ()

    def batch(self, name: str) -> TubeBatch | None:
        """The batch of a name."""
        return next((one for one in self.batches if one.name == name), None)

    def stick(self, label: str) -> Stick | None:
        """The stick of a label."""
        return next((one for one in self.sticks if one.label == label), None)


@dataclass(frozen=True, kw_only=True)
class TubeChoices:
    """What can be said of the tube of a bar.

    Args:
        bar_id: The bar.
        alike: Every bar of that tube size, in the order of the cage.
        said: What is on record of each of them; None where nothing is.
        tube: Batches of that size and their sticks, also what is used up: a bar may be of it.
    """

    bar_id: str
    alike: tuple[str, ...]
    said: Mapping[str, TubeUsed | None]
    tube: ShopTube


def tube_in_shop(where: str | None = None) -> ShopTube:
    """All the tube that the shop knows; none where there is no shop yet.

    Args:
        where: The shop; the person's own without.

    Raises:
        UserError: `SHOP-...` for a shop that cannot be read, or that is named and not there.
    """
    refuse_missing(where)
    with shop_if_there(where) as shop:
        if shop is None:
            return ShopTube()
        return ShopTube(batches=shop.batches(retired=True), sticks=shop.sticks(used=True))


def tube_choices(folder: ProjectFolder, bar_id: str, *, shop: str | None = None) -> TubeChoices:
    """What a bar can have been cut from.

    Args:
        folder: The project.
        bar_id: The bar.
        shop: The shop; the person's own without.

    Raises:
        UserError: `CAGE-001` for a bar that is not there; `SHOP-...` for a shop that cannot be read.
    """
    project = folder.open().project
    size = project.cage.member(bar_id).tube
    alike = tuple(one.member_id for one in project.cage.members if same_tube(one.tube, size))
    every = tube_in_shop(shop)
    batches = tuple(one for one in every.batches if same_tube(one.tube, size))
    names = {batch.name for batch in batches}
    return TubeChoices(
        bar_id=bar_id,
        alike=alike,
        said=MappingProxyType({one: project.tube_of.get(one) for one in alike}),
        tube=ShopTube(batches=batches, sticks=tuple(one for one in every.sticks if one.batch in names)),
    )
