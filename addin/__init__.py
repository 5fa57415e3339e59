"""Hosts of the functions: each converts cells to arguments and results to cells, and computes nothing."""
