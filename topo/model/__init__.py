"""Nouns that several rooms share: frozen values with their own look-ups, and the words and digits they are told in.

Nothing here computes a result, reads, writes or touches the outside. Every other noun lives beside the one function
that makes it. Nothing here imports another room of the house, but for type checkers.
"""
