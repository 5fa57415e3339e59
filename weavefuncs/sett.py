"""sett"""
