"""Django's PostgreSQL backend, which copies a migrated database, and empties the tables between tests by deleting.

Truncating makes new files for every table and index; with few rows in few tables that takes twenty times as long.
"""

from __future__ import annotations

from typing import Any

from django.db.backends.postgresql import base, operations

from .creation import DatabaseCreation

#: What migrating fills in, once for all tests.
KEPT = {"auth_permission", "django_content_type"}


class DatabaseOperations(operations.DatabaseOperations):
    def sql_flush(self, style: Any, tables: Any, **options: Any) -> list[str]:
        if any(options.values()):  # sequences to be reset, or tables that nobody named
            return super().sql_flush(style, tables, **options)
        return [f"DELETE FROM {self.quote_name(table)}" for table in tables if table not in KEPT]


class DatabaseWrapper(base.DatabaseWrapper):
    creation_class = DatabaseCreation
    ops_class = DatabaseOperations
