"""What it costs to load all profile families, beside reading their files. A script: prints medians and ratios.

    python tests/bench/bench_profiles.py [RUNS]

Each figure is taken in a fresh process, in turn, so that what slows the machine slows all. Exits 1 where loading every
family costs more than LIMIT_MS beyond reading its files. The imports of pluggy and importlib.metadata are shown by
themselves: any plugin needs them. Parsing is for comparison: `topo check` parses only the profiles its rig names.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys

LIMIT_MS = 40.0

CODE = """
import json, sys, time
from pathlib import Path
def ms(work):
    start = time.perf_counter(); work(); return (time.perf_counter() - start) * 1e3
took = {}
def libraries():
    import pluggy, importlib.metadata, importlib.resources
took["import pluggy and importlib.metadata"] = ms(libraries)
import topo_plugins
folder = Path(next(iter(topo_plugins.__path__)))
files = [file for family in sorted(folder.iterdir()) if (family / "__init__.py").exists()
         for file in sorted(family.glob("*.yaml"))]
took["read the files of all families"] = ms(lambda: [file.read_bytes() for file in files])
def rooms():
    import topo.plugin.load, topo.builtin
took["import the plugin room"] = ms(rooms)
from topo.plugin.load import load
known = []
took["load all families"] = ms(lambda: known.append(load(("topo_profiles",))))
plugins = known[0]
assert len(plugins.profile_names()) >= len(files) > 0 and not plugins.troubles, plugins.troubles
def schema():
    import topo.rigfile.profiles
took["import the schema"] = ms(schema)
took["parse one profile"] = ms(lambda: plugins.profile(plugins.profile_names()[0]))
took["parse all others"] = ms(lambda: [plugins.profile(name) for name in plugins.profile_names()])
print(json.dumps([len(files), took]))
"""


def main(runs: int) -> int:
    """Measures, prints, and judges."""
    command = [sys.executable, "-c", CODE]
    results = [json.loads(subprocess.run(command, stdout=subprocess.PIPE, check=True).stdout) for _ in range(runs)]
    count = results[0][0]
    took = {what: statistics.median(each[1][what] for each in results) for what in results[0][1]}
    reading = took["read the files of all families"]
    print(f"{count} profiles, median of {runs} fresh processes; ratio to reading the files")
    for what, value in took.items():
        print(f"  {what:40} {value:8.2f} ms {value / reading:8.1f} x")
    beyond = took["load all families"] - reading
    verdict = "within" if beyond <= LIMIT_MS else "OVER"
    print(f"loading beyond reading: {beyond:.1f} ms, {verdict} the limit of {LIMIT_MS:g} ms")
    return 0 if beyond <= LIMIT_MS else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 9))
