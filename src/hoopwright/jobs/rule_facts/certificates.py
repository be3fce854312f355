"""What the shop knows of the batches that the bars were cut from."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from hoopwright.bender import TubeBatch
from hoopwright.findings import Finding
from hoopwright.jobs.batch_numbers import bars_without_number
from hoopwright.jobs.shop_if_there import shop_if_there
from hoopwright.store import Project
from hoopwright.store.build_records import TubeUsed
from hoopwright.tubes.paper_numbers import certificate_number, heat_number

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


def certificate_of(used: TubeUsed | None, batches: BatchWords) -> str:
    """What is typed of the certificate of a tube: with its number where the record or, since, the batch has one."""
    return _best(certificate_number, used, batches, "certificate")


def heat_of(used: TubeUsed | None, batches: BatchWords) -> str:
    """What is typed of the heat of a tube: with its number where the record or, since, the batch has one."""
    return _best(heat_number, used, batches, "heat_number")


def _best(number_in: Callable[[str], str], used: TubeUsed | None, batches: BatchWords, key: str) -> str:
    if used is None:
        return ""
    batch = batches.get(used.batch)
    typed = [getattr(used, key), "" if batch is None else getattr(batch, key)]
    return next(filter(None, (*map(number_in, typed), *(text.strip() for text in typed))), "")


def certificate_findings(project: Project, batches: BatchWords) -> tuple[Finding, ...]:
    """`HELD-006` for each bar cut from a tube without the number of a certificate, `HELD-007` for other steel."""
    found: list[Finding] = []
    for bar_id, used in project.tube_of.items():
        if bar_id not in project.cage:
            continue
        known = replace(used, certificate=certificate_of(used, batches), heat_number=heat_of(used, batches))
        found += bars_without_number([known])
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
