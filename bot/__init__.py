"""Potside: a self-hosted messaging bot for growers of cacti and other succulents."""

__version__ = "0.1.0"
