"""What was tried goes into the pack, in known words and the names of the post; nothing else of the file does."""

from __future__ import annotations

from pathlib import Path

from topo.pack.removed import Removed
from topo.pack.tried import tried

KEPT = """chase: My own garden
symptoms: [drops, rumours]
at: [my-camera, stranger]
every: when the neighbour's light goes on
have: [cable]
saw:
- new-number=alone
- spare-cable/my-camera=no:18
- swap-cables/my-camera/my-mount=moved
- lower-limit/my-camera+spare-cable/my-camera=no:12
- lower-limit/my-camera+spare-cable/stranger=no:12
- new-number+spare-cable/my-camera=alone
- spare-cable/stranger=yes
- secret/my-camera=yes
- spare-cable/my-camera=perhaps
- "my address is here"
"""


def test_what_was_tried_in_known_words(tmp_path: Path) -> None:
    path = tmp_path / "rig.chase.yaml"
    path.write_text(KEPT, encoding="utf-8")
    removed = Removed()
    lines = tried(str(path), {"my-camera": "imaging-1", "my-mount": "mount-1"}, removed)
    assert lines == [
        "Already tried, for: a device drops and comes back, at imaging-1",
        "- new number: alone",
        "- spare cable (imaging-1): not seen, watched 18 min",
        "- swap cables (imaging-1, mount-1): moved elsewhere",
        "- lower limit (imaging-1) and spare cable (imaging-1): not seen, watched 12 min",
    ]
    assert removed.total == 6


def test_the_file_beside_the_rig_is_told(tmp_path: Path) -> None:
    from topo.cli.main import status_of

    rig = Path(__file__).resolve().parents[2] / "examples" / "two-cameras" / "rig.yaml"
    (tmp_path / "rig.yaml").write_bytes(rig.read_bytes())
    (tmp_path / "rig.chase.yaml").write_text(
        "chase: x\nsymptoms: [drops]\nat: [mount]\nsaw:\n- spare-cable/mount=no:18\n", encoding="utf-8")
    assert status_of(["pack", str(tmp_path / "rig.yaml"), "-o", str(tmp_path / "pack")]) == 0
    text = (tmp_path / "pack" / "post.txt").read_text(encoding="utf-8")
    assert "spare cable (mount): not seen, watched 18 min" in text
    assert "not seen, watched 18 min" in (tmp_path / "pack" / "post.md").read_text(encoding="utf-8")
