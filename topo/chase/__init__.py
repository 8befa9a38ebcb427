"""The chase: which test tells most for each minute, until one suspect is left or nothing at hand can tell more.

Two halves. The core (`rhythm`, `belief`, `likely`, `score`, `exact`, `choose`, `ending`) knows suspects, tests and
what each suspect would show, and nothing of USB. The other half makes these from a rig and tells the person.
"""
