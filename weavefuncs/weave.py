"""weave"""
