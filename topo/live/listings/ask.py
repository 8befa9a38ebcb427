"""Which command prints what is needed, for each system: one line a person can paste, none with a password.

All read what the system keeps and open no device (sysfs, the I/O registry, the device tree of Windows).
"""

from __future__ import annotations

POWERSHELL = """\
$keys = 'LocationPaths','LocationInfo','Address','Parent','BusReportedDeviceDesc','ContainerId','CompatibleIds',\
'Service' | ForEach-Object { "DEVPKEY_Device_$_" }
$list = foreach ($d in Get-PnpDevice -PresentOnly | Where-Object { $_.InstanceId -match '^USB4?\\\\' -or $_.Class -eq \
'Ports' }) { $o = [ordered]@{ InstanceId = $d.InstanceId; Name = $d.FriendlyName; Class = $d.Class; Status = \
"$($d.Status)" }; Get-PnpDeviceProperty -InstanceId $d.InstanceId -KeyName $keys | ForEach-Object \
{ $o[$_.KeyName.Substring(15)] = [string[]]@($_.Data) }; [pscustomobject]$o }
ConvertTo-Json -InputObject @($list) -Depth 4 | Set-Content -Encoding UTF8 usb.json"""
"""Three lines for PowerShell 5.1 or 7: present devices only, no device opened. A minute or two for thirty devices."""

LINUX = "usb-devices > usb.txt"
SYSFS = (
    "grep -r . /sys/bus/usb/devices/*/{speed,idVendor,idProduct,product,serial,maxchild,bMaxPower,busnum,devnum} "
    "2>/dev/null > usb.txt"
)
MACOS = "ioreg -p IOUSB -l -w0 > usb.txt"
PNPUTIL = "pnputil /enum-devices /connected /bus USB /relations /properties > usb.txt"
TOPO = "topo live --save usb.json"


def ask_lines() -> tuple[str, ...]:
    """What to ask for, a line or more for each system."""
    return (
        f"any system with topo:  {TOPO}",
        f"Linux:  {LINUX}",
        f"Linux without that script:  {SYSFS}",
        f"macOS:  {MACOS}",
        f"Windows 11:  {PNPUTIL}",
        "Windows 10 and 11, these three lines in PowerShell (they take a minute or two):",
        *POWERSHELL.splitlines(),
    )


def ask_for(system: str) -> str:
    """The one command for a system, in a sentence's middle."""
    return {"linux": f"`{LINUX}`", "macos": f"`{MACOS}`", "windows": f"`{PNPUTIL}`"}[system]
