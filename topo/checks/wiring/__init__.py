"""The rules of the bus: sockets, depth, addresses, endpoints, radio."""
