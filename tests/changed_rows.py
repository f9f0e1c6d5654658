"""A museum with a few cells changed, as a planner would change them."""


def change(museum, table, key, **cells):
    """Return a museum with cells of the rows that have these keys changed."""
    rows = getattr(museum, table)
    chosen = [row for row in rows if all(getattr(row, name) == value for name, value in key.items())]
    assert chosen, (table, key)
    return museum.with_changes(**{table: [r.model_copy(update=cells) if r in chosen else r for r in rows]})


def only(museum, *paths):
    """Return a museum in which these paths alone save anything."""
    kept = [r if r.path in paths else r.model_copy(update={"saves": False}) for r in museum.paths]
    return museum.with_changes(paths=kept)
