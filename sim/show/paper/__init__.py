"""Sheets of paper to take to the truck: PDF pages in black on white."""
