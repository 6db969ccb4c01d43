"""What people exchange: TOML, CSV, XLSX and JSON, in and out."""
