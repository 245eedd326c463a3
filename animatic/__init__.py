"""From a pile of set photos to a timed film, and on to frame counts on set."""
