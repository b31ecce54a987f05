"""Files of many visits: read as they are, said back where unclear, stored in steps by a worker."""
