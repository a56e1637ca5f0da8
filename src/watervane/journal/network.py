"""Whether a file lies on a folder of another machine, where its locks cannot be trusted."""

from __future__ import annotations

import os
from pathlib import Path

MOUNTS = Path("/proc/self/mounts")
FAR = frozenset(
    {
        *("nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "ncpfs", "9p", "ceph", "glusterfs"),
        *("fuse.sshfs", "fuse.rclone", "fuse.davfs", "davfs", "fuse.glusterfs", "fuse.s3fs"),
    }
)


def network_kind(folder: Path, mounts: str | None = None) -> str | None:
    """The kind of network folder that holds ``folder``; ``None`` for a disk of this machine.

    Parameters
    ----------
    folder
        Need not exist yet.
    mounts
        The table of mounts; left out, this system's own, where it has one.
    """
    if mounts is None:
        try:
            mounts = MOUNTS.read_text(encoding="utf-8", errors="replace")
        except OSError:
            return None
    where = os.path.realpath(folder)
    best, kind = "", None
    for line in mounts.splitlines():
        parts = line.split(" ")
        if len(parts) < 3:
            continue
        mounted = parts[1].encode().decode("unicode_escape")  # a blank is written \\040
        inside = where == mounted or where.startswith(mounted.rstrip("/") + "/")
        if inside and len(mounted) >= len(best):
            best, kind = mounted, parts[2]
    return kind if kind in FAR else None
