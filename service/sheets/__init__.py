"""Drawings and documents of an installation, for people and planning tools."""
