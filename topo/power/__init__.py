"""The 12 V side as arithmetic: which current runs through which lead, and what volts are left at each part."""
