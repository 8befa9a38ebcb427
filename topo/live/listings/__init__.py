"""Listings that systems print and people post, read as scans: one file for each format, told apart by content.

Each reader takes text and gives a Scan whose `limits` say what this kind of listing cannot know. What stands in a
listing is untrusted: every reader takes any text and ends, with a scan or a ScanError. Nothing is scanned here.
"""
