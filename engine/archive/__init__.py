"""Archive: put a report on disk, whole or not at all."""
