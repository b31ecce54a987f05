"""Quality of the measuring: trials of observers, and how reliable a recorder's pits were."""
