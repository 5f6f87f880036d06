"""A test database is a copy of one that was migrated once, for all processes of a run."""

from __future__ import annotations

from typing import Any

from django.contrib.contenttypes.management import create_contenttypes
from django.db.backends.postgresql import creation
from django.db.models.signals import post_migrate

#: Any number: who makes the template holds this lock on the server.
LOCK = 6402


class DatabaseCreation(creation.DatabaseCreation):
    def create_test_db(self, *args: Any, **kwargs: Any) -> str:
        """Copies the database named as `TEMPLATE` under `TEST`, which the first to come makes while others wait."""
        test = self.connection.settings_dict["TEST"]
        template = test.get("TEMPLATE")
        if template is None:
            return super().create_test_db(*args, **kwargs)
        with self._nodb_cursor() as cursor:  # its session holds the lock, and gives it back as it ends
            cursor.execute("SELECT pg_advisory_lock(%s)", [LOCK])
            if not self._database_exists(cursor, template):
                self._make_template(template, *args, **kwargs)
                cursor.execute(f"ALTER DATABASE {self._quote_name(template + '_making')} RENAME TO {template}")
        # The copy has what migrating fills in, and keeps it: it is not filled in anew after every test.
        post_migrate.disconnect(create_contenttypes)
        post_migrate.disconnect(dispatch_uid="django.contrib.auth.management.create_permissions")
        name = self._create_test_db(verbosity=0, autoclobber=True, keepdb=False)
        self.connection.close()
        self.connection.settings_dict["NAME"] = name
        return name

    def _make_template(self, template: str, *args: Any, **kwargs: Any) -> None:
        """Migrates a new database, under another name until it is whole."""
        chosen = self.connection.settings_dict
        test, name = dict(chosen["TEST"]), chosen["NAME"]
        chosen["TEST"].update(TEMPLATE=None, NAME=template + "_making")
        try:
            super().create_test_db(*args, **kwargs)
        finally:
            self.connection.close()
            chosen["TEST"].update(test)
            chosen["NAME"] = name
