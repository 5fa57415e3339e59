"""chevron"""
