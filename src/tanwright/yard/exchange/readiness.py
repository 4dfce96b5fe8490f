"""Before a yard is used: its tables are made or brought up to date."""

from __future__ import annotations

from django.core.management import call_command
from django.db import OperationalError, connection
from django.db.migrations.executor import MigrationExecutor

from tanwright.errors import InputError
from tanwright.yard.exchange.backing_up import make_backup
from tanwright.yard.exchange.disk import told_of


def bring_up_to_date() -> bool:
    """Apply the migrations that are missing; a yard that holds something is backed up first.

    Returns whether there were any. Raises InputError when the disk refuses.
    """
    try:
        executor = MigrationExecutor(connection)
        plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
        if plan:
            if executor.loader.applied_migrations:
                make_backup()
            call_command("migrate", verbosity=0, interactive=False)
    except OperationalError as error:
        trouble = told_of(error)
        if trouble is None:
            raise
        raise InputError(trouble.what, place="database", remedy=trouble.remedy) from None
    return bool(plan)
