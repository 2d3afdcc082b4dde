"""The order by farm: what to read over the phone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from coop.buying.models import Farm, Supply
from coop.buying.queries.estimate import price_each
from coop.core.figures import counted, money, quantity


@dataclass(frozen=True)
class OrderLine:
    """So many containers of one supply, at a price for each."""

    supply: Supply
    count: int
    cents_each: int

    @property
    def cents(self) -> int:
        """What they come to."""
        return self.count * self.cents_each

    @property
    def amount(self) -> int:
        """What they hold, in base steps, as promised."""
        return self.count * self.supply.size


@dataclass(frozen=True)
class Order:
    """All that is ordered of one farm."""

    farm: Farm
    lines: tuple[OrderLine, ...]

    @property
    def cents(self) -> int:
        """What the farm will charge, if all comes as promised."""
        return sum(line.cents for line in self.lines)

    @property
    def miles(self) -> int:
        """The round trip to the farm."""
        return self.farm.round_trip_miles

    def text(self, currency: str) -> str:
        """The order as a message to send."""
        rows = [
            f"{counted(line.count, line.supply.container)} {line.supply.line.produce} "
            f"of {quantity(line.supply.size, line.supply.line.measure)}, "
            f"{money(line.cents_each, currency)} each"
            for line in self.lines
        ]
        return "\n".join([*rows, f"Together {money(self.cents, currency)}."])


def orders_of(supplies: Iterable[Supply], counts: Mapping[int, int]) -> list[Order]:
    """The order of each farm that something is bought from, by name."""
    lines: dict[Farm, list[OrderLine]] = {}
    for supply in supplies:
        if count := counts.get(supply.pk, 0):
            line = OrderLine(supply, count, price_each(supply, counts))
            lines.setdefault(supply.farm, []).append(line)
    return [
        Order(farm, tuple(of_farm))
        for farm, of_farm in sorted(lines.items(), key=lambda each: (each[0].name, each[0].pk))
    ]
