"""Alembic migrations, shipped with the service."""
