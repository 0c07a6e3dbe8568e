"""Run migrations on the connection the app hands over, or on the database of the settings."""

from alembic import context

from app.records.base import Database
from app.records.tables import Row
from app.settings import Settings


def run(connection) -> None:
    sqlite = connection.dialect.name == "sqlite"
    if sqlite:
        connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
        connection.commit()  # an open transaction here would keep Alembic from committing its version row
    context.configure(
        connection=connection,
        target_metadata=Row.metadata,
        render_as_batch=True,
        compare_type=True,
        transaction_per_migration=True,
    )
    with context.begin_transaction():
        context.run_migrations()
    if sqlite:
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        connection.commit()
        if broken:
            raise RuntimeError(f"rows without their parent after migrating: {broken[:5]}")
        connection.exec_driver_sql("PRAGMA foreign_keys=ON")
        connection.commit()


handed = context.config.attributes.get("connection")
if handed is not None:
    run(handed)
else:
    url = context.get_x_argument(as_dictionary=True).get("url") or Settings().database
    with Database(url).engine.connect() as connection:
        run(connection)
