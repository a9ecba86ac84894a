"""People and spreadsheets in and out: what comes from outside is validated here."""
