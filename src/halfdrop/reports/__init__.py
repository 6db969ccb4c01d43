"""Results put into words, tables, charts, documents."""
