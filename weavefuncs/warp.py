"""warp"""
