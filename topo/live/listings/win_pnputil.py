"""What `pnputil /enum-devices /connected …` prints, as text in any language, XML or CSV.

Labels and many values are in the language of Windows. Blocks are found by their first value, an instance id; a parent
is the first other instance id of a block; properties are known by their names, which no language changes.
"""

from __future__ import annotations

import csv
import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass, field

from topo.errors import ScanError
from topo.frozen import replace
from topo.live.listings.values import lines_of, told, whole
from topo.live.listings.win import INSTANCE, WinNode
from topo.live.listings.win_tree import WINDOWS_LIMITS, windows_scan
from topo.model.sighting import Scan

PROPERTY = re.compile(r"^\s*(DEVPKEY_\w{2,80})\s*\[[^\]]{1,40}\]\s*:\s*(.*)$")
LABELLED = re.compile(r"^(\S[^:：]{0,60}?)\s*[:：]\s*(.*)$")
STARTS = re.compile(r"^[> \t]*\S[^:：\n]{0,60}[:：][ \t]*USB\\[^\\\n]{3,100}\\[^\\\n]+$", re.MULTILINE)
HEAD = "Microsoft PnP"
GUID = re.compile(r"\{[0-9a-fA-F-]{36}\}")
PORTS_CLASS = "{4d36e978-e325-11ce-bfc1-08002be10318}"
"""The class of serial ports, by the GUID that stands beside its name."""


def looks_like(text: str) -> bool:
    """True for the head with an instance id, or two blocks that begin with one."""
    found = STARTS.finditer(text)
    return next(found, None) is not None and (HEAD in text[:2000] or next(found, None) is not None)


def looks_like_xml(text: str) -> bool:
    """True for its XML."""
    return "<PnpUtil" in text


def looks_like_csv(text: str) -> bool:
    """True for its CSV: the header row names two of the columns."""
    head = text.lstrip("\ufeff \n").partition("\n")[0]
    return "InstanceId" in head and "ClassGuid" in head and "," in head


@dataclass
class _Block:
    """One device while its lines are read: labelled values in order, and properties by name."""

    instance: str
    labelled: list[list[str]] = field(default_factory=list)
    properties: dict[str, list[str]] = field(default_factory=dict)


def read(text: str) -> Scan:
    """The scan of the text. Raises ScanError where no USB device is in it."""
    return _scan([_node(block) for block in _blocks(text)], "pnputil-text")


def read_csv(text: str) -> Scan:
    """The scan of the CSV form, which has no parents and no sockets. Raises ScanError."""
    try:
        rows = list(csv.DictReader(io.StringIO(text.lstrip("\ufeff \n"))))
    except csv.Error as error:
        raise ScanError("this CSV of Windows devices is damaged") from error
    return _scan([_row(row) for row in rows if row.get("InstanceId")], "pnputil-csv")


def _row(row: dict[str, str]) -> WinNode:
    name, kind, status = (told(row.get(column)) for column in ("DeviceDescription", "ClassName", "Status"))
    return WinNode(row["InstanceId"], name, kind, status)


def read_xml(text: str) -> Scan:
    """The scan of the XML form. Raises ScanError where it is cut, or declares entities, which it never does."""
    body = text[text.index("<PnpUtil") :]
    if "<!" in body.replace("<!--", ""):
        raise ScanError("this XML of Windows devices declares something of its own; it was not read")
    try:
        end = body.rfind("</PnpUtil>")
        top = ET.fromstring(body[: end + 10 if end >= 0 else body.rfind(">") + 1])
    except (ET.ParseError, ValueError) as error:
        raise ScanError("this XML of Windows devices is cut or damaged") from error
    return _scan([_element(one) for one in top.iter("Device") if one.get("InstanceId")], "pnputil-xml")


def _scan(nodes: list[WinNode], scanner: str) -> Scan:
    sides = any(node.compatible or node.paths for node in nodes)
    limits = WINDOWS_LIMITS if sides else replace(WINDOWS_LIMITS, speeds="none", classes="none", halves="none")
    return windows_scan(nodes, scanner, limits)


def _blocks(text: str) -> Iterator[_Block]:
    """Blocks: each begins with the label that stands before the first instance id, whatever the language."""
    label: str | None = None
    block: _Block | None = None
    open_: list[str] = []
    start = STARTS.search(text)
    edge = re.match(r"[ \t]*", start[0].lstrip(">"))[0] if start else ""  # type: ignore[index]  # it matches nothing at least
    for raw in lines_of(text):
        line = raw.removeprefix(edge)
        match = LABELLED.match(line)
        begins = match is not None and INSTANCE.fullmatch(match[2].strip()) is not None
        if match is not None and begins and (label is None or match[1] == label):
            if block is not None:
                yield block
            label, block, open_ = match[1], _Block(match[2].strip()), []
        elif block is not None and line.strip():
            open_ = _add(block, line, match, open_)
    if block is not None:
        yield block


def _add(block: _Block, line: str, match: re.Match[str] | None, open_: list[str]) -> list[str]:
    """Takes a line; returns the list that lines without a label go on."""
    if prop := PROPERTY.match(line):
        values = block.properties.setdefault(prop[1], [])
        values += [prop[2].strip()] if prop[2].strip() else []
        return values
    if match is not None:
        values = [match[2].strip()]
        block.labelled.append(values)
        return values
    if len(open_) < 100:
        open_.append(line.strip())
    return open_


def _node(block: _Block) -> WinNode:
    guid = next((n for n, values in enumerate(block.labelled) if GUID.fullmatch(values[0])), None)
    before = block.labelled[:guid] if guid is not None else block.labelled[:1]
    every = [value for values in block.labelled for value in values]
    related = [values for values in block.labelled if values and INSTANCE.fullmatch(values[0])]
    parent = next((values[0] for values in related if len(values) == 1), None)
    ports = guid is not None and block.labelled[guid][0].lower() == PORTS_CLASS
    name = before[-2][0] if len(before) > 1 else before[0][0] if before else None
    return _with(block.properties, WinNode(
        block.instance, told(name), "Ports" if ports else None, None, parent,
        compatible=tuple(value for value in every if re.match(r"USB\\(?:Dev)?Class_", value, re.IGNORECASE)),
    ))  # fmt: skip


def _element(one: ET.Element) -> WinNode:
    properties: dict[str, list[str]] = {}
    parent, related, compatible = None, None, []
    for inner in one.iter():
        text = told(inner.text) or ""
        if inner.tag == "Property" and inner.get("Key"):
            properties[inner.get("Key", "")] = [v for value in inner.iter("Value") if (v := told(value.text))]
        elif INSTANCE.fullmatch(text):
            parent = parent or (text if "parent" in inner.tag.lower() else None)
            related = related or (text if "child" not in inner.tag.lower() and inner.tag != "Value" else None)
        elif re.match(r"USB\\(?:Dev)?Class_", text, re.IGNORECASE):
            compatible.append(text)
    guid = (told(one.findtext("ClassGuid")) or "").lower()
    kind = "Ports" if guid == PORTS_CLASS else told(one.findtext("ClassName"))
    name, status = told(one.findtext("DeviceDescription")), told(one.findtext("Status"))
    node = WinNode(one.get("InstanceId", ""), name, kind, status, parent or related, compatible=tuple(compatible))
    return _with(properties, node)


def _with(properties: dict[str, list[str]], node: WinNode) -> WinNode:
    """The entry with what its properties tell beyond the rest."""

    def of(name: str) -> tuple[str, ...]:
        return tuple(properties.get(f"DEVPKEY_Device_{name}", ()))

    def one(name: str) -> str | None:
        return next((text for value in of(name) if (text := told(value))), None)

    address = re.match(r"0x[0-9a-fA-F]{1,8}|[0-9]{1,4}", one("Address") or "")
    return replace(
        node,
        name=one("FriendlyName") or node.name,
        parent=one("Parent") or node.parent,
        paths=of("LocationPaths"),
        location=one("LocationInfo"),
        address=whole(address[0], 255) if address else None,
        reported=one("BusReportedDeviceDesc"),
        container=one("ContainerId"),
        compatible=of("CompatibleIds") or node.compatible,
        service=one("Service"),
    )
