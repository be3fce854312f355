"""What a check sees beside the one thing that it looks at."""

from dataclasses import dataclass

from hoopwright.cage.car import WeightBasis
from hoopwright.cage.member import Role
from hoopwright.rules.facts import Facts
from hoopwright.rules.show import Show


@dataclass(frozen=True, kw_only=True)
class Scope:
    """What a check sees beside the one thing that it looks at.

    Args:
        facts: All that is known.
        roles: Roles that the rule is for; empty is every one.
        but: Roles that it is not for.
        basis: What the book's weights count.
        show: How values are put in words.
    """

    facts: Facts
    roles: tuple[Role, ...] = ()
    but: tuple[Role, ...] = ()
    basis: WeightBasis | None = None
    show: Show

    @property
    def weight_kg(self) -> float | None:
        """Weight of the car on the book's basis."""
        return None if self.basis is None else self.facts.car.weights_kg.get(self.basis)

    def takes(self, role: Role) -> bool:
        """Whether the rule is for bars of a role."""
        return role not in self.but and (not self.roles or role in self.roles)
