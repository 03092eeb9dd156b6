from pathlib import Path

import pytest

from app.records.migrate import bring_up
from app.records.places import UnsafePlace, refuse_shared_disk, shared_kind
from app.settings import Settings

LOCAL = "36 35 98:0 / / rw,noatime shared:1 - ext4 /dev/root rw\n"


def mounts(folder: Path, *lines: str) -> Path:
    made = folder / "mountinfo"
    made.write_text(LOCAL + "".join(f"{line}\n" for line in lines), encoding="utf-8")
    return made


def mounted(place: str, kind: str) -> str:
    return f"41 36 0:37 / {place} rw,relatime shared:20 - {kind} server:/share rw"


@pytest.mark.parametrize("kind", ["nfs4", "cifs", "fuse.sshfs", "9p", "virtiofs"])
def test_a_disk_that_others_share_is_told(tmp_path: Path, kind: str) -> None:
    listed = mounts(tmp_path, mounted("/srv/shop", kind))
    assert shared_kind(Path("/srv/shop/data/gripledger.db"), listed) == kind
    with pytest.raises(UnsafePlace, match="GRIPLEDGER_DATA_DIR"):
        refuse_shared_disk(Path("/srv/shop/gripledger.db"), listed)


def test_a_local_disk_passes_also_one_inside_a_shared_one(tmp_path: Path) -> None:
    listed = mounts(tmp_path, mounted("/srv", "nfs"), mounted("/srv/local", "xfs"))
    assert shared_kind(Path("/var/lib/gripledger.db"), listed) is None
    assert shared_kind(Path("/srv/local/gripledger.db"), listed) is None
    assert shared_kind(Path("/srv/localities/gripledger.db"), listed) == "nfs"
    refuse_shared_disk(Path("/var/lib/gripledger.db"), listed)


def test_of_two_disks_at_one_place_the_later_is_seen(tmp_path: Path) -> None:
    listed = mounts(tmp_path, mounted("/srv", "ext4"), mounted("/srv", "nfs"))
    assert shared_kind(Path("/srv/gripledger.db"), listed) == "nfs"


def test_a_space_in_a_place_is_read(tmp_path: Path) -> None:
    listed = mounts(tmp_path, mounted(r"/srv/the\040shop", "smb3"))
    assert shared_kind(Path("/srv/the shop/gripledger.db"), listed) == "smb3"


def test_where_the_system_does_not_tell_nothing_is_refused(tmp_path: Path) -> None:
    assert shared_kind(tmp_path / "gripledger.db", tmp_path / "no such list") is None
    listed = tmp_path / "mountinfo"
    listed.write_text("nonsense\n\n- -\n", encoding="utf-8")
    assert shared_kind(tmp_path / "gripledger.db", listed) is None


def test_nothing_is_made_on_a_shared_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listed = mounts(tmp_path, mounted(str(tmp_path / "shared"), "nfs4"))
    monkeypatch.setattr("app.records.places.MOUNTS", listed)
    monkeypatch.setattr(
        "app.records.migrate.refuse_shared_disk", lambda file: refuse_shared_disk(file, listed)
    )
    with pytest.raises(UnsafePlace, match="nfs4"):
        bring_up(Settings(data_dir=tmp_path / "shared"))
    assert not (tmp_path / "shared").exists()
