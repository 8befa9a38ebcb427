"""The live side: scans of what is plugged in, and what follows from them. Read-only is absolute: no device is opened,
nothing is sent, nothing is written but the files a person asked for. pyusb and pyserial come in here and nowhere else.
"""
