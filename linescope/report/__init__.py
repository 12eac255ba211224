"""Results as plain tables and keyed data, with units put back on."""
