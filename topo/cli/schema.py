"""`topo schema`: the JSON Schema of rig files, for editors that complete and check while typing."""

from __future__ import annotations

import click


@click.command()
def command() -> None:
    """Print the JSON Schema of rig files."""
    import json

    from topo.rigfile.jsonschema import json_schema

    click.echo(json.dumps(json_schema(), indent=2, ensure_ascii=False))
