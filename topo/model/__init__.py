"""Nouns that several rooms share: frozen values and nothing that computes a result or touches the outside.

Every other noun lives beside the one function that makes it. Nothing here imports another room of the house.
"""
