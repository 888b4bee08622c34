"""Backups: written whole, proved before they are let in, and brought back all or not at all."""
