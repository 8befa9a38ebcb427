"""Listings of Linux printed from a machine, after the layouts of the tools: kernel text, script, udev, sysfs, log."""

from __future__ import annotations

import re

from tests.live.listings.machines import Half, Machine, halves


def bus(half: Half) -> int:
    return 2 * half.controller + (2 if half.fast else 1)


def name(half: Half) -> str:
    return f"{bus(half)}-{'.'.join(map(str, half.chain))}"


def best(machine: Machine, controller: int) -> int:
    """What the SuperSpeed side of a controller runs at: as fast as what is plugged in there."""
    return int(max([5000, *(h.speed for h in halves(machine) if h.controller == controller)]))


def usb_devices(machine: Machine, star: bool = True, wrong_parent: bool = False, hexadecimal: bool = False) -> str:
    """`star`: the kernel's text; else the script's. `wrong_parent`: as several versions of the script print it."""
    blocks = []
    every = halves(machine)
    for n, controller in enumerate(machine.controllers):
        for fast in (False, True):
            number = 2 * n + (2 if fast else 1)
            rate = best(machine, n) if fast else 480
            head = f"T:  Bus={number:02} Lev=00 Prnt=00 Port=00 Cnt=00 Dev#=  1 Spd={rate:<4} "
            blocks.append(_block(head + f"MxCh={controller.sockets:2}", "1d6b", "0003" if fast else "0002", "", "xHCI",
                                 controller.name, (9, 0, 3 if fast else 1), 0, ((9, 0, 0, "hub"),), star, hexadecimal))
            own = [h for h in every if h.controller == n and h.fast == fast]
            numbers = {(): 1, **{h.chain: h.devnum for h in own}}
            last = 1
            for half in own:
                parent = last if wrong_parent else numbers[half.chain[:-1]]
                thing, last = half.thing, half.devnum
                head = (f"T:  Bus={number:02} Lev={len(half.chain):02} Prnt={parent:02} Port={half.chain[-1] - 1:02} "
                        f"Cnt=01 Dev#={half.devnum:3} Spd={half.speed:<4g} MxCh={thing.ports:2}")
                functions = ((9, 0, 0, "hub"),) if thing.is_hub else thing.functions
                blocks.append(_block(head, thing.ids[0], half.product_id, thing.maker, thing.name, thing.serial,
                                     half.codes, thing.ma, functions, star, hexadecimal))
    return "\n".join(blocks)


def _block(head: str, vendor: str, product: str, maker: str, words: str, serial: str, codes: tuple[int, int, int],
           ma: int, functions: tuple[tuple[int, int, int, str], ...], star: bool,
           hexadecimal: bool) -> str:  # fmt: skip
    mark = "*" if star else " "
    width = 3 if star else 0
    version = "3.10" if "Spd=10000" in head else "3.00" if "Spd=5000" in head else "2.00"
    told = f"Cls={codes[0]:02x}(cls  ) Sub={codes[1]:02x} Prot={codes[2]:02x}"
    lines = [head, f"D:  Ver= {version} {told} MxPS=64 #Cfgs=  1",
             f"P:  Vendor={vendor} ProdID={product} Rev={' 1' if star else '01'}.00"]  # fmt: skip
    lines += [f"S:  {key}={value}" for key, value in (("Manufacturer", maker), ("Product", words),
                                                       ("SerialNumber", serial)) if value]  # fmt: skip
    lines.append(f"C:{mark} #Ifs={len(functions):2} Cfg#= 1 Atr=80 MxPwr={ma:{width}}mA")
    for n, (usb_class, sub, prot, driver) in enumerate(functions):
        shown = f"0x{n:x}" if hexadecimal else f"{n:2}"
        lines.append(f"I:{mark} If#={shown} Alt= 0 #EPs= 1 Cls={usb_class:02x}(cls  ) Sub={sub:02x} Prot={prot:02x} "
                     f"Driver={driver}")
        lines.append("E:  Ad=81(I) Atr=02(Bulk) MxPS= 512 Ivl=0ms")
    return "\n".join(lines) + "\n"


def udev(machine: Machine) -> str:
    blocks = []
    for n, controller in enumerate(machine.controllers):
        top = f"/devices/pci0000:00/{controller.name}" if ":" in controller.name else f"/devices/soc/{controller.name}"
        for fast in (False, True):
            number = 2 * n + (2 if fast else 1)
            root = ("1d6b", "3" if fast else "2", (9, 0, 1), number, 1, "Linux", "xHCI", "")
            blocks.append(_udev_device(f"{top}/usb{number}", *root))
        for half in (h for h in halves(machine) if h.controller == n):
            parts = [f"{bus(half)}-{'.'.join(map(str, half.chain[:i]))}" for i in range(1, len(half.chain) + 1)]
            at, thing = "/".join([top, f"usb{bus(half)}", *parts]), half.thing
            blocks.append(_udev_device(at, thing.ids[0], half.product_id, half.codes, bus(half), half.devnum,
                                       thing.maker, thing.name, thing.serial))
            functions = ((9, 0, 0, "hub"),) if thing.is_hub else thing.functions
            for i, (usb_class, sub, prot, driver) in enumerate(functions):
                blocks.append("\n".join([f"P: {at}/{name(half)}:1.{i}", f"E: DEVPATH={at}/{name(half)}:1.{i}",
                                         "E: SUBSYSTEM=usb", "E: DEVTYPE=usb_interface",
                                         *([] if driver == "(none)" else [f"E: DRIVER={driver}"]),
                                         f"E: INTERFACE={usb_class}/{sub}/{prot}"]))
            if thing.com:
                tty = f"{at}/{name(half)}:1.0/ttyUSB{thing.com}/tty/ttyUSB{thing.com}"
                blocks.append(f"P: {tty}\nN: ttyUSB{thing.com}\nE: DEVPATH={tty}\nE: SUBSYSTEM=tty\n"
                              f"E: DEVNAME=/dev/ttyUSB{thing.com}\nE: ID_USB_DRIVER={thing.functions[0][3]}")
    return "\n\n".join(blocks) + "\n"


def _udev_device(path: str, vendor: str, product: str, codes: tuple[int, int, int], number: int, devnum: int,
                 maker: str, words: str, serial: str) -> str:  # fmt: skip
    lines = [f"P: {path}", f"N: bus/usb/{number:03}/{devnum:03}", "L: 0", f"E: DEVPATH={path}", "E: SUBSYSTEM=usb",
             "E: DEVTYPE=usb_device", "E: DRIVER=usb",
             f"E: PRODUCT={int(vendor, 16):x}/{int(product, 16):x}/100", f"E: TYPE={'/'.join(map(str, codes))}",
             f"E: BUSNUM={number:03}", f"E: DEVNUM={devnum:03}"]  # fmt: skip
    for key, value, fallback in (("ID_VENDOR", maker, vendor), ("ID_MODEL", words, f"{int(product, 16):04x}")):
        lines += [f"E: {key}={re.sub(r'[^A-Za-z0-9.-]', '_', value or fallback)}",
                  f"E: {key}_ENC={_encoded(value or fallback)}", f"E: {key}_ID={fallback}"]
    if serial:
        lines.append(f"E: ID_SERIAL_SHORT={_encoded(serial)}")
    return "\n".join(lines)


def _encoded(text: str) -> str:
    return "".join(c if c.isalnum() or c in "#+-.:=@_" else "".join(f"\\x{b:02x}" for b in c.encode()) for c in text)


def sysfs(machine: Machine) -> str:
    lines = []

    def add(folder: str, **values: object) -> None:
        lines.extend(f"/sys/bus/usb/devices/{folder}/{key}:{value}" for key, value in values.items() if value != "")

    for n, controller in enumerate(machine.controllers):
        for fast in (False, True):
            number = 2 * n + (2 if fast else 1)
            rate, product = (best(machine, n), "0003") if fast else (480, "0002")
            add(f"usb{number}", speed=rate, idVendor="1d6b", idProduct=product,
                product="xHCI", maxchild=controller.sockets, bMaxPower="0mA", busnum=number, devnum=1)
    for half in halves(machine):
        thing = half.thing
        add(name(half), speed=f"{half.speed:g}", idVendor=thing.ids[0], idProduct=half.product_id, product=thing.name,
            serial=thing.serial, maxchild=thing.ports, bMaxPower=f"{thing.ma}mA", busnum=bus(half), devnum=half.devnum)
    return "\n".join(sorted(lines, key=lambda line: line.rpartition("/")[2].partition(":")[0])) + "\n"


WORDS = {1.5: "low-speed", 12: "full-speed", 480: "high-speed", 5000: "SuperSpeed", 10000: "SuperSpeed Plus Gen 2x1"}


def kernel_log(machine: Machine, dated: bool = False) -> str:
    said = []
    for n, controller in enumerate(machine.controllers):
        for fast in (False, True):
            said.append(f"xhci_hcd {controller.name}: new USB bus registered, assigned bus number "
                        f"{2 * n + (2 if fast else 1)}")
    for half in halves(machine):
        thing, at = half.thing, f"usb {name(half)}:"
        said += [f"{at} new {WORDS[half.speed]} USB device number {half.devnum} using xhci_hcd",
                 f"{at} New USB device found, idVendor={thing.ids[0]}, idProduct={half.product_id}, bcdDevice= 1.00",
                 f"{at} New USB device strings: Mfr=1, Product=2, SerialNumber=3", f"{at} Product: {thing.name}"]
        said += [f"{at} Manufacturer: {thing.maker}"] if thing.maker else []
        said += [f"{at} SerialNumber: {thing.serial}"] if thing.serial else []
        said += [f"hub {name(half)}:1.0: USB hub found", f"hub {name(half)}:1.0: {thing.ports} ports detected"] \
            if thing.is_hub else []
        said += [f"{at} USB serial converter now attached to ttyUSB{thing.com}"] if thing.com else []
    last = halves(machine)[-1]
    said += [f"usb {name(last)}: USB disconnect, device number {last.devnum}",
             f"usb {name(last)}: new {WORDS[last.speed]} USB device number 99 using xhci_hcd",
             f"usb {name(last)}: New USB device found, idVendor={last.thing.ids[0]}, idProduct={last.product_id}",
             f"usb {name(last)}: Product: {last.thing.name}"]  # fmt: skip
    stamp = "[Wed Apr 21 10:00:{:02} 2021] " if dated else "[{:5}.000100] "
    return "".join(stamp.format(i % 60 if dated else i) + line + "\n" for i, line in enumerate(said))
