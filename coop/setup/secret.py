"""The secret key of the embedded default, made once and kept beside the database."""

import os
import secrets
from pathlib import Path

KEY_BYTES = 50


def kept_secret(folder: Path) -> str:
    """Return the secret kept in `folder`, making it first where there is none.

    Two processes may start at once: whoever links the file first wins, and both read that one.
    """
    path = folder / "secret"
    if not path.exists():
        _make(path)
    return path.read_text(encoding="ascii").strip()


def _make(path: Path) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = path.with_name(f"secret.{os.getpid()}.{secrets.token_hex(4)}")
    draft.touch(mode=0o600, exist_ok=False)
    draft.write_text(secrets.token_urlsafe(KEY_BYTES), encoding="ascii")
    try:
        os.link(draft, path)
    except FileExistsError:
        pass  # another process was first; its secret is the one
    except OSError:
        draft.replace(path)  # a file system without hard links
        return
    draft.unlink()
