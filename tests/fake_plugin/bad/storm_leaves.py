"""Ends the program that imports it."""

import sys

print("Storm Tools needs a licence.")
sys.exit("no licence")
