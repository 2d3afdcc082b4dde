"""How each checker is called: on the project by test_checks, on a file that breaks it by
test_checks_hold.
"""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LINT_IMPORTS = "from importlinter.cli import lint_imports_command as lint; lint()"
CHECKERS = {
    "ruff finds nothing to mend": ["-m", "ruff", "check", "--output-format=concise", "."],
    "every file is formatted": ["-m", "ruff", "format", "--check", "."],
    "every type is right": ["-m", "mypy"],
    "every import goes downwards": ["-c", LINT_IMPORTS],
    "every template is sound": ["-m", "djlint", "templates", "--lint", "--quiet"],
}


def run(arguments: list[str], *, folder: Path = ROOT) -> subprocess.CompletedProcess[str]:
    """Run a checker in `folder`."""
    command = [sys.executable, *arguments]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
