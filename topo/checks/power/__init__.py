"""Current from USB sockets and 12 V supplies. Every finding here carries the usual cautions."""
