"""Two clocks that share a folder keep a file each."""

import subprocess
import sys

from coop.clock import take_a_file
from coop.setup.environment import ROOT

ANOTHER = """
import sys
from pathlib import Path
from coop.clock import take_a_file
_, held = take_a_file(Path(sys.argv[1]))
print("held", flush=True)
sys.stdin.read()
"""


def test_each_clock_takes_a_file_that_no_other_holds(tmp_path):
    taken = [take_a_file(tmp_path / "beat") for _ in range(3)]
    assert [path for path, _ in taken] == [
        str(tmp_path / name) for name in ("beat", "beat-2", "beat-3")
    ]
    for _, held in taken:
        held.close()


def test_the_file_of_a_clock_that_was_killed_is_free_again(tmp_path):
    command = [sys.executable, "-c", ANOTHER, str(tmp_path / "beat")]
    with subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as another:
        another.stdout.readline()
        second, held = take_a_file(tmp_path / "beat")
        held.close()
        another.kill()
    first, held = take_a_file(tmp_path / "beat")
    held.close()
    assert (first, second) == (str(tmp_path / "beat"), str(tmp_path / "beat-2"))
