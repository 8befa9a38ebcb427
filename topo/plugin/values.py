"""What plugins hand over, and who they are. Frozen values alone; what loads and judges them is beside this file.

A check is `topo.model.check.Check`, a finished profile `topo.model.profile.Profile`, a renderer
`topo.model.renderer.Renderer`, a scanner `topo.model.scanner.Scanner`, a reader of evidence
`topo.model.reader.EvidenceReader`; the last three can be imported from here too.
"""

from __future__ import annotations

from topo.frozen import frozen
from topo.model.plain import plain
from topo.model.reader import EvidenceReader
from topo.model.renderer import Renderer
from topo.model.scanner import Scanner
from topo.plugin.folder import OWN

__all__ = ["EvidenceReader", "ProfileFolder", "Renderer", "Scanner", "Supplier", "Trouble"]


@frozen
class ProfileFolder:
    """A folder of profile files inside an importable package. The stem of a file is the name of its profile.

    `package` is usually `__name__`; `folder` a path inside it with '/', empty for the package's own folder. The names
    come from the files' names; a file is opened only when its profile is asked for.
    """

    package: str
    folder: str = ""


@frozen
class Supplier:
    """Who supplies something: the plugin, and the distribution it came in with its version (empty where not known)."""

    plugin: str
    distribution: str = ""
    version: str = ""

    def __str__(self) -> str:
        came_in = plain(f"{self.distribution} {self.version}".strip())
        return plain(self.plugin) + (f" ({came_in})" if came_in else "")


@frozen
class Trouble:
    """Something wrong with a plugin, which was left out or cut short because of it. The rest went on."""

    plugin: str
    distribution: str
    version: str
    what: str

    @classmethod
    def of(cls, supplier: Supplier, what: str) -> Trouble:
        """Trouble with one supplier. `what` may hold text from the plugin; it is made safe to show."""
        return cls(supplier.plugin, supplier.distribution, supplier.version, plain(what, 600))

    def __str__(self) -> str:
        plugin = "plugin " if self.distribution or self.plugin != OWN else ""
        return f"{plugin}{Supplier(self.plugin, self.distribution, self.version)}: {self.what}"
