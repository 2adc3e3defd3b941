"""Plots, film, report."""
