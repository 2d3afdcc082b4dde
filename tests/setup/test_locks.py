"""The locks hold what pyproject.toml asks for: names, versions and hashes, and no address."""

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

from coop.setup.environment import LOCKS, ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
RUN = PROJECT["project"]["dependencies"]
TEST = PROJECT["dependency-groups"]["test"]


def text_of(name: str) -> str:
    return (LOCKS / f"{name}.txt").read_text(encoding="utf-8")


def pins(name: str) -> dict[str, set[str]]:
    """Versions by name; a package may have one for old and one for new Pythons."""
    found: dict[str, set[str]] = {}
    for package, version in re.findall(r"^([\w.-]+)==([\w.]+)", text_of(name), re.MULTILINE):
        found.setdefault(package.lower(), set()).add(version)
    return found


@pytest.mark.parametrize(("lock", "asked"), [("run", RUN), ("test", RUN + TEST)])
def test_a_lock_holds_a_right_version_of_everything_asked_for(lock, asked):
    locked = pins(lock)
    for requirement in map(Requirement, asked):
        versions = locked[requirement.name.lower()]
        assert all(requirement.specifier.contains(Version(version)) for version in versions)


def test_the_longer_lock_holds_all_of_the_shorter():
    longer = pins("test")
    assert all(longer[name] == versions for name, versions in pins("run").items())


@pytest.mark.parametrize("lock", ["run", "test"])
def test_a_lock_names_no_address(lock):
    assert not re.search(r"://|--index|--find-links|--extra|@ |file:", text_of(lock))


@pytest.mark.parametrize("lock", ["run", "test"])
def test_every_package_has_its_hashes(lock):
    blocks = re.split(r"^(?=\w)", text_of(lock), flags=re.MULTILINE)[1:]
    assert len(blocks) > 20
    assert all("--hash=sha256:" in block for block in blocks)
