"""The kernel's log in every form people save it in: lines, prefixes, subjects and messages to events."""
