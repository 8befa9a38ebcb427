"""A scene for those who hear it, and the paths that light up in it: words and class names, no shapes."""

from __future__ import annotations

from topo.draw.scene import Scene


def description(scene: Scene) -> str:
    """The picture in words: what is wrong and what to do, what each part hangs on, and the verdict."""
    names = {node.key: node.name for node in scene.nodes}
    wires = [f"{names[wire.below]} on {names[wire.above]}" + (f" socket {wire.socket}" if wire.socket else "")
             + (f", {wire.speed}" if wire.speed else "") for wire in scene.wires if wire.kind != "inside"]
    answer = scene.answer
    first = "" if answer is None else " ".join((f"{answer.figure}: {answer.says}.", *answer.steps)) + " "
    verdict = f"{scene.verdict} " if scene.verdict else ""
    return f"{first}{verdict}" + "; ".join(wires) + "."


def path_classes(scene: Scene) -> dict[str, str]:
    """For each node and wire the classes of all paths it lies on: `p-KEY` for every node at or below it."""
    below: dict[str, list[str]] = {node.key: [node.key] for node in scene.nodes}
    above = {wire.below: wire for wire in scene.wires}
    for node in scene.nodes:
        wire = above.get(node.key)
        while wire is not None:
            below[wire.above].append(node.key)
            wire = above.get(wire.above)
    classes = {key: " ".join(f"p-{name}" for name in names) for key, names in below.items()}
    classes.update({wire.key: classes[wire.below] for wire in scene.wires})
    return classes
