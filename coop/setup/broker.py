"""Folders of the broker that needs no server: `coop.folder_transport`."""

from pathlib import Path


def folder_transport(folder: Path) -> dict[str, str | bool]:
    """Make the folders, and return the transport's options.

    Sender and worker read and write the same folder, and a message that was read is gone.
    """
    messages, taken, control = (folder / name for name in ("messages", "taken", "control"))
    for made in (messages, taken, control):
        made.mkdir(mode=0o700, parents=True, exist_ok=True)
    return {
        "data_folder_in": str(messages),
        "data_folder_out": str(messages),
        "processed_folder": str(taken),
        "control_folder": str(control),
        "store_processed": False,
    }
