"""Parts that only got another name between two plans: the same kind, facts and place, under a name the other lacks."""

from __future__ import annotations

from collections.abc import Mapping

from topo.frozen import replace
from topo.model.finding import Finding
from topo.model.rig import Computer, Device, Hub, NightWishes, Plug, Rig


def renamed(one: Rig, other: Rig) -> dict[str, str]:
    """Names of the first rig that are another in the second, hubs before what hangs on them; only where no doubt is."""
    left = {part.id for part in other.plugged} - {part.id for part in one.plugged}
    gone = [part for part in one.plugged if all(part.id != theirs.id for theirs in other.plugged)]
    found: dict[str, str] = {}
    more = True
    while more:
        more = False
        for part in gone:
            if part.id in found:
                continue
            fit = [new for new in other.plugged if new.id in left and _alike(part, new, found)]
            rivals = [old for old in gone if old.id not in found and fit and _alike(old, fit[0], found)]
            if len(fit) == 1 and len(rivals) == 1:
                found[part.id] = fit[0].id
                left.discard(fit[0].id)
                more = True
    return found


def _alike(old: Hub | Device, new: Hub | Device, names: Mapping[str, str]) -> bool:
    """Whether a part could be another under a new name: all is the same but the name."""
    return type(old) is type(new) and _with(old, names, new.id) == replace(new, place=old.place)


def _with(part: Hub | Device, names: Mapping[str, str], name: str) -> Hub | Device:
    plug = part.plug
    if plug is not None:
        plug = Plug(names.get(plug.part, plug.part), plug.socket, plug.place)
    if isinstance(part, Hub):
        return replace(part, id=name, plug=plug, after=names.get(part.after or "", part.after))
    after = names.get(part.after or "", part.after)
    return replace(part, id=name, plug=plug, after=after, guides=names.get(part.guides or "", part.guides),
                   pulse_lead=names.get(part.pulse_lead or "", part.pulse_lead))  # fmt: skip


def under_new_names(rig: Rig, names: Mapping[str, str]) -> Rig:
    """A rig with parts under their new names, wherever they are spoken of."""
    if not names:
        return rig
    new = {part.id: _with(part, names, names.get(part.id, part.id)) for part in rig.plugged}
    return replace(
        rig,
        hubs=tuple(part for hub in rig.hubs if isinstance(part := new[hub.id], Hub)),
        devices=tuple(part for device in rig.devices if isinstance(part := new[device.id], Device)),
        computer=_computer(rig.computer, names),
        leads=tuple(
            replace(lead, source=names.get(lead.source, lead.source), to=names.get(lead.to, lead.to),
                    also=tuple(names.get(end, end) for end in lead.also))
            for lead in rig.leads
        ),
        boxes=tuple(replace(box, id=names.get(box.id, box.id)) for box in rig.boxes),
        night=_night(rig.night, names),
    )


def _computer(computer: Computer, names: Mapping[str, str]) -> Computer:
    return replace(computer, ways_in=tuple(names.get(way, way) for way in computer.ways_in))


def finding_renamed(finding: Finding, names: Mapping[str, str]) -> Finding:
    """A finding about a part under its new name."""
    return replace(finding, part=names.get(finding.part, finding.part),
                   others=tuple(names.get(name, name) for name in finding.others))  # fmt: skip


def _night(night: NightWishes, names: Mapping[str, str]) -> NightWishes:
    remote = night.remote
    return replace(
        night,
        copying=tuple(replace(each, part=names.get(each.part, each.part)) for each in night.copying),
        remote=None if remote is None else replace(remote, through=names.get(remote.through, remote.through)),
    )
