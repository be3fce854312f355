"""What the shop knows of the batches that the bars were cut from."""

from collections.abc import Mapping

from hoopwright.bender import TubeBatch
from hoopwright.findings import Finding
from hoopwright.jobs.shop_if_there import shop_if_there
from hoopwright.store import Project

BatchWords = Mapping[str, TubeBatch]


def batches_used(project: Project) -> BatchWords:
    """The batches that bars were cut from, by name; none where there is no shop, which is not opened without need.

    Raises:
        UserError: `SHOP-020` to `SHOP-023` when there is a shop and it cannot be read.
    """
    wanted = {used.batch for used in project.tube_of.values() if used.batch}
    if not wanted:
        return {}
    with shop_if_there() as shop:
        batches = () if shop is None else shop.batches(retired=True)
        return {batch.name: batch for batch in batches if batch.name in wanted}


def certificate_findings(project: Project) -> tuple[Finding, ...]:
    """`HELD-006` for each bar that was cut from a tube whose certificate has no number, or that is of other steel."""
    found = []
    for bar_id, used in project.tube_of.items():
        if bar_id not in project.cage:
            continue
        if not used.certificate:
            found.append(
                Finding(
                    code="HELD-006",
                    sentence=f"Bar {bar_id} was cut from a tube without the number of a certificate.",
                    todo="Give the batch its certificate number, or ask the supplier: rules on material need it.",
                    objects=(bar_id,),
                )
            )
        drawn = project.cage.member(bar_id).steel
        if drawn and used.steel and drawn.lower() != used.steel.lower():
            found.append(
                Finding(
                    code="HELD-007",
                    sentence=f"Bar {bar_id} is meant as '{drawn}' and was cut from '{used.steel}': the tube that it "
                    "was cut from counts.",
                    todo="Say the right steel with 'hoopwright bar steel', or look at the tube again.",
                    objects=(bar_id,),
                )
            )
    return tuple(found)
