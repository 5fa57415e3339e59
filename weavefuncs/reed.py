"""reed"""
