"""Loads that households may share: only what has the same canner, minutes, pressure and jar."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from coop.core.preserving.pounds import whole_count
from coop.core.preserving.process import Process


@dataclass(frozen=True)
class LoadKey:
    """What must be the same for jars to stand in one canner: `psi` is None in boiling water."""

    method: str
    minutes: int
    psi: int | None
    jar: str


@dataclass(frozen=True)
class LoadPart:
    """One household's jars of one key, and how many jars its canner holds.

    Raises: ValueError for fewer than 0 jars, or a canner that holds none.
    """

    owner: str
    key: LoadKey
    jars: int
    capacity: int

    def __post_init__(self) -> None:
        whole_count(f"Jars of {self.owner}", self.jars)
        whole_count(f"Capacity for {self.owner}", self.capacity, at_least=1)

    @property
    def loads(self) -> int:
        """Loads that the part needs by itself."""
        return ceil(self.jars / self.capacity)


@dataclass(frozen=True)
class SharedLoads:
    """Jars that fit into fewer loads together: whose and how many, and the loads either way."""

    key: LoadKey
    jars: tuple[tuple[str, int], ...]
    loads_apart: int
    loads_together: int
    capacity: int


def load_key(process: Process) -> LoadKey:
    """The key under which the jars of a process may share a load."""
    return LoadKey(process.method, process.minutes, process.psi, process.jar)


def share_loads(parts: Iterable[LoadPart]) -> tuple[SharedLoads, ...]:
    """Where sharing saves a load: parts of one key and one size of canner, in the order given.

    Parts that fill their own loads gain nothing and are left out. What comes of it is never more
    loads than apart, and never jars of two keys in one canner.

    >>> beans = LoadKey("dial_gauge", 25, 11, "quart")
    >>> shared = share_loads([LoadPart("Adeyemi", beans, 9, 7), LoadPart("Brandt", beans, 5, 7)])
    >>> [(each.jars, each.loads_apart, each.loads_together) for each in shared]
    [((('Adeyemi', 9), ('Brandt', 5)), 3, 2)]
    """
    groups: dict[tuple[LoadKey, int], list[LoadPart]] = {}
    for part in parts:
        if part.jars % part.capacity:
            groups.setdefault((part.key, part.capacity), []).append(part)
    found = []
    for (key, capacity), group in groups.items():
        apart = sum(part.loads for part in group)
        together = ceil(sum(part.jars for part in group) / capacity)
        if together < apart:
            jars = tuple((part.owner, part.jars) for part in group)
            found.append(SharedLoads(key, jars, apart, together, capacity))
    return tuple(found)
