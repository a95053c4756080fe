"""Many rows at once, by the fastest way that the driver of the database has."""

from collections.abc import Sequence
from contextlib import closing
from typing import Any

from sqlalchemy import Connection
from sqlalchemy import Table


def insert_many(connection: Connection, table: Table, rows: Sequence[tuple[Any, ...]]) -> None:
    """Insert rows, each with a value for every column of the table in its order.

    The values go to the driver as they are: the caller has made sure that they can be stored.
    """
    if not rows:
        return
    names = ", ".join(f'"{column.name}"' for column in table.columns)
    if connection.dialect.name != "postgresql":
        places = ", ".join("?" for _ in table.columns)
        connection.exec_driver_sql(f'INSERT INTO "{table.name}" ({names}) VALUES ({places})', list(rows))
        return
    cursor: Any = connection.connection.cursor()
    with closing(cursor), cursor.copy(f'COPY "{table.name}" ({names}) FROM STDIN') as copy:
        for row in rows:
            copy.write_row(row)
