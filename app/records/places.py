"""Where a SQLite database may lie: on a disk of this computer, as far as that can be told."""

import re
from pathlib import Path

from app.errors import AppError

MOUNTS = Path("/proc/self/mountinfo")

_SHARED = re.compile(
    "9p|afs|beegfs|ceph|cifs|coda|davfs|glusterfs|gpfs|lustre|ncpfs|nfs|nfs4|ocfs2|smb3|smbfs|"
    r"vboxsf|virtiofs|fuse\.(sshfs|rclone|s3fs|davfs|davfs2|glusterfs|ceph|gcsfuse|smbnetfs)"
)


class UnsafePlace(AppError):
    """A database lies, or would lie, where SQLite cannot keep it whole."""


def refuse_shared_disk(file: Path, mounts: Path = MOUNTS) -> None:
    """Refuse a database on a disk that other computers share.

    Raises:
        UnsafePlace: says which kind of disk it is.
    """
    kind = shared_kind(file, mounts)
    if kind is not None:
        raise UnsafePlace(
            f"{file.parent} is on a network or shared disk ({kind}). SQLite's locks do not hold "
            "there, and the database could be damaged. Choose a folder on a local disk with "
            "GRIPLEDGER_DATA_DIR, or use PostgreSQL. Nothing was started."
        )


def shared_kind(file: Path, mounts: Path = MOUNTS) -> str | None:
    """The kind of the file system that a file is on when it is a shared one, else None.

    None too where the system does not tell (it does so on Linux).
    """
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return None
    place = file.resolve()
    kind, longest = "", -1
    for line in lines:
        before, dash, after = line.partition(" - ")
        fields = before.split(" ")
        if not dash or len(fields) < 5:
            continue
        mounted = Path(_plain(fields[4]))
        # Of two disks at one place the later one is seen.
        if place.is_relative_to(mounted) and len(mounted.parts) >= longest:
            kind, longest = after.split(" ", 1)[0], len(mounted.parts)
    return kind if _SHARED.fullmatch(kind) else None


def _plain(text: str) -> str:
    """A path of the list of mounts, where a space is written \\040."""
    return re.sub(r"\\([0-7]{3})", lambda found: chr(int(found[1], 8)), text)
